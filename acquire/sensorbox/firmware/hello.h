// HELLO is a CBOR map (RFC 8949). It is built once: only its head and checksum change.
_Static_assert(sizeof(NAME SERIAL VOLTAGE_TAP THIRD_NAME THIRD_UNIT) <= 65, "texts over 64 letters in all");

static struct { struct frame frame; uint8_t body[LONGEST_BODY + CHECKSUM]; } hello = {.frame.n = 1};
static uint8_t *hello_end = hello.body;
static void item(uint8_t byte) { *hello_end++ = byte; }

static void text(PGM_P words) {
	uint8_t n = strlen_P(words);
	if (n > 23) item(0x78), item(n); // a text, its length in the next byte
	else item(0x60 | n);
	memcpy_P(hello_end, words, n), hello_end += n;
}

static void number(PGM_P key, float x) {
	text(key), item(0xfa); // a float
	for (uint8_t k = sizeof x; k-- > 0;) item(((const uint8_t *)&x)[k]); // CBOR is big-endian
}

#define HAS_WIRE (WIRE_M_PER_COUNT > 0)
#define HAS_THIRD (THIRD_PER_CODE != 0)
#define NUMBER(key, x) number(PSTR(key), x)
#define WORD(key, words) text(PSTR(key)), text(PSTR(words))

static void build_hello(void) {
	item(0xbf); // a map, as far as its end
	WORD("name", NAME), WORD("serial", SERIAL), WORD("firmware", "arctally box 1.0");
	if (COUNTS_PER_TURN > 0) NUMBER("counts_per_turn", COUNTS_PER_TURN);
	if (HAS_WIRE) NUMBER("wire_m_per_count", WIRE_M_PER_COUNT);
	NUMBER("clock_ppm", CLOCK_PPM), NUMBER("skew_us", 14 * 4); // 13 clocks of the converter, of 4 us, and one to begin
	text(PSTR("skew_alternates")), item(0xf5);                 // true
	text(PSTR("channels")), item(0x9f);                        // a list, as far as its end, of maps
	item(0xa8), WORD("name", "voltage"), WORD("unit", "V"), WORD("basis", "instantaneous"), WORD("tap", VOLTAGE_TAP);
	NUMBER("scale", VOLTS_PER_CODE), NUMBER("offset", VOLTS_AT_0), NUMBER("bits", 10), NUMBER("bandwidth_hz", BANDWIDTH_HZ);
	item(0xa7), WORD("name", "current"), WORD("unit", "A"), WORD("basis", "instantaneous");
	NUMBER("scale", AMPERES_PER_CODE), NUMBER("offset", AMPERES_AT_0), NUMBER("bits", 10), NUMBER("bandwidth_hz", BANDWIDTH_HZ);
	if (HAS_WIRE) item(0xa4), WORD("name", "wire_speed"), WORD("unit", "m/s"), WORD("basis", "average"), NUMBER("scale", 1);
	if (HAS_THIRD) item(0xa4), WORD("name", THIRD_NAME), WORD("unit", THIRD_UNIT), WORD("basis", "average"), NUMBER("scale", 1);
	item(0xff), item(0xff); // the ends of both
}

static void send_hello(uint64_t tick) { send(&hello.frame, HELLO, tick, hello_end - hello.body); }
