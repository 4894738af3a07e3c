// Timer 1 counts half microseconds. It overflows each 32.8 ms, and no interrupt waits so long.
static volatile uint32_t overflows; // for 4.4 years
ISR(TIMER1_OVF_vect) { overflows++; }

// half_us is the time since the start, while interrupts are off. A stamp is its lower half.
static inline __attribute__((always_inline)) uint64_t half_us(void) {
	uint16_t low = TCNT1;
	uint32_t high = overflows;
	if (TIFR1 & _BV(TOV1) && low < 0x8000) high++; // it overflowed since interrupts are off
	return (uint64_t)high << 16 | low;
}

// tick_us makes a time of a stamp that is not 35 minutes old.
static uint64_t tick_us(uint32_t stamp) {
	uint64_t now;
	ATOMIC_BLOCK(ATOMIC_FORCEON) now = half_us();
	return (now - (uint32_t)((uint32_t)now - stamp)) / 2;
}
