// A sensor box: voltage and current of an arc, the wire, the turns of the torch. Interrupts measure, main sends.
#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/pgmspace.h>
#include <stdbool.h>
#include <string.h>
#include <util/atomic.h>

#include "box.h"
#include "ticks.h"
#include "line.h"
#include "hello.h"
#include "turns.h"
#include "samples.h"

// say_slow says the wire's speed from pulse to pulse, 0 after a second without one, and the mean of the third input.
static void say_slow(uint32_t now) {
	static uint32_t count_then, stamp_then, still = 10; // looks since the last pulse
	struct { uint8_t channel; float value; } values[2] = {{.channel = 2}};
	uint32_t count, stamp, third, taken;
	uint8_t n = 0; // values
	ATOMIC_BLOCK(ATOMIC_FORCEON) {
		count = wire_count, stamp = wire_stamp, third = third_sum, taken = third_taken;
		third_sum = third_taken = 0;
	}
	bool moved = count != count_then, stood = still == 10;
	still = moved ? 0 : still + !stood;
	if (moved && !stood && HAS_WIRE) values[n++].value = (count - count_then) * (float)(2e6 * WIRE_M_PER_COUNT) / (stamp - stamp_then);
	if (!moved && stood && HAS_WIRE) values[n++].value = 0;
	count_then = count, stamp_then = stamp;
	values[n].channel = 2 + HAS_WIRE;
	if (taken && HAS_THIRD) values[n++].value = third * (float)THIRD_PER_CODE / taken + (float)THIRD_AT_0;
	if (n > 0) say(SLOW, tick_us(now), 0, n, values, n * sizeof *values);
}

int main(void) {
	static uint16_t EEMEM kept; // a cut while it is written leaves another number, not the last again
	PORTD = TURN_A | WIRE | TURN_B | INDEX; // they are up by the time that they are read
	boot = eeprom_read_word(&kept) + 1;
	eeprom_update_word(&kept, boot);
	build_hello();
	DIDR0 = 1 << VOLTAGE_INPUT | 1 << CURRENT_INPUT | 1 << THIRD_INPUT;
	UCSR0A = _BV(U2X0); // with it 115200 baud are 2.1 % off, 3.5 % without; 500000 are exact
	UBRR0 = (F_CPU / 8 + BAUD / 2) / BAUD - 1;
	UCSR0B = _BV(RXCIE0) | _BV(RXEN0) | _BV(TXEN0);
	EICRA = _BV(ISC00) | _BV(ISC11); // both edges of the turns, the falling one of the wire
	turn_a = PIND & TURN_A, turn_at_index = !(PIND & INDEX);
	ADCSRA = _BV(ADEN) | _BV(ADIE) | _BV(ADPS2) | _BV(ADPS1); // its clock is 16 MHz over 64
	choose(THIRD_INPUT), convert(THIRD); // the very first takes longer
	OCR1A = 2 * DT_US;
	TIMSK1 = _BV(TOIE1) | _BV(OCIE1A);
	TCCR1B = _BV(CS11); // 16 MHz over 8
	put(0);             // ends what a reset has cut short; it turns the interrupts on
	send_hello(0);
	for (uint32_t hello_then = 0, turns_then = 0, slow_then = 0;;) {
		uint32_t now;
		ATOMIC_BLOCK(ATOMIC_FORCEON) now = half_us();
		if (sending->full) send_window(sending);
		if (ping_waits) answer_ping();
		if (now - turns_then >= 2 * 20000UL) look_at_turns(), turns_then = now;
		if (now - slow_then >= 2 * 100000UL) say_slow(now), slow_then = now;
		if (now - hello_then >= 2 * 5000000UL) send_hello(tick_us(now)), hello_then = now;
	}
}
