/* A Modbus RTU slave by libmodbus, for peer_test.go: the block map, whose state moves on
 * with every request, and holding registers with floats in both orders of the words.
 * Usage: slave DEVICE UNIT */
#include <errno.h>
#include <modbus.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static uint16_t *put(uint16_t *at, uint64_t x, int words) {
	for (int k = words - 1; k >= 0; k--)
		*at++ = (uint16_t)(x >> (16 * k));
	return at;
}

static void state(uint16_t *r, uint64_t k) {
	r = put(r, 0x0101, 1);
	r = put(r, 77, 1);
	r = put(r, 65000 + k, 2);          /* the low word wraps on the way */
	r = put(r, 13157 * k, 4);          /* us */
	r = put(r, 4294967000u + 131 * k, 2); /* wraps, too */
	r = put(r, 65000 * k + k * k, 4);  /* mJ */
	r = put(r, 263140 * k + 3 * k, 4); /* uV*s */
	r = put(r, 2631400 * k + k * k, 4); /* uA*s */
	r = put(r, 13157 * k / 1000, 2);   /* ms */
	r = put(r, 4294967290u + 11 * k, 2);
	memset(r, 0, 6 * sizeof *r);
	r = put(r + 6, 0, 1);
	put(r, 65000 + k, 1);
}

int main(int argc, char **argv) {
	if (argc != 3)
		return 2;
	modbus_t *line = modbus_new_rtu(argv[1], 115200, 'N', 8, 1);
	modbus_mapping_t *map = modbus_mapping_new(0, 0, 20, 34);
	if (line == NULL || map == NULL || modbus_set_slave(line, atoi(argv[2])) != 0 || modbus_connect(line) != 0) {
		fprintf(stderr, "slave: %s\n", modbus_strerror(errno));
		return 1;
	}
	uint32_t bits;
	float volts = 24.75f, amperes = 210.5f;
	memcpy(&bits, &volts, sizeof bits);
	put(map->tab_registers, bits, 2);
	memcpy(&bits, &amperes, sizeof bits);
	put(map->tab_registers + 2, bits, 2);
	modbus_set_float(volts, map->tab_registers + 10); /* low word first, as libmodbus has it */
	modbus_set_float(amperes, map->tab_registers + 12);
	uint8_t query[MODBUS_RTU_MAX_ADU_LENGTH];
	puts("ready");
	fflush(stdout);
	for (uint64_t k = 0;;) {
		int n = modbus_receive(line, query);
		if (n == 0 || (n < 0 && (errno == EMBBADCRC || errno == ETIMEDOUT)))
			continue; /* another slave's, or damaged */
		if (n < 0)
			return 0; /* the line has ended */
		state(map->tab_input_registers, k++);
		modbus_reply(line, query, n, map);
	}
}
