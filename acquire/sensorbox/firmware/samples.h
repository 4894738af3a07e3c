// Voltage and current. A window is a frame that is filled while others wait to be sent.
enum { DT_US = 200, THIRD_US = 70 }; // from sample to sample; what the third input takes at the most

static struct window {
	struct frame frame;
	union {
		uint16_t pairs[MODE == SUMS ? 1 : PER_WINDOW][2];
		struct {
			uint32_t count, v, no_v, i, no_i, vi, no_vi; // upper halves stay 0: codes are small, and never negative
			uint16_t v_min, v_max, i_min, i_max;
			uint32_t arc_on, wire, dropped;
		} sums;
	};
	uint8_t checksum[CHECKSUM]; // at the latest here
	uint32_t stamp;             // of its first sample
	uint8_t held;
	volatile bool full;
} windows[WINDOWS], *filling = windows, *sending = windows;
static uint32_t dropped, wire_then, beat_stamp; // since a window began; at the end of the last; of the sample under way
static struct window *after(struct window *w) { return w == &windows[WINDOWS - 1] ? windows : w + 1; }

static void end_window(struct window *w) {
	if (MODE == SUMS) w->sums.wire = wire_count - wire_then;
	wire_then = wire_count;
	filling = after(w);
	w->full = true;
}

// drop ends the window in which a sample is missing: those of one window stand at equal steps.
static void drop(void) {
	dropped++;
	if (!filling->full && filling->held) end_window(filling);
}

static void sum(struct window *w, uint16_t v, uint16_t i) {
	if (w->held == 0) {
		memset(&w->sums, 0, sizeof w->sums);
		w->sums.v_min = w->sums.v_max = v, w->sums.i_min = w->sums.i_max = i, w->sums.dropped = dropped;
	}
	w->sums.count++, w->sums.v += v, w->sums.i += i, w->sums.vi += (uint32_t)v * i;
	if (v < w->sums.v_min) w->sums.v_min = v;
	if (v > w->sums.v_max) w->sums.v_max = v;
	if (i < w->sums.i_min) w->sums.i_min = i;
	if (i > w->sums.i_max) w->sums.i_max = i;
	if (i >= (uint16_t)((ARC_AMPERES - AMPERES_AT_0) / AMPERES_PER_CODE + 1)) w->sums.arc_on++;
}

static void take(struct window *w, uint16_t v, uint16_t i) {
	if (w->full) return drop();
	if (MODE == SUMS) sum(w, v, i);
	else w->pairs[w->held][0] = v, w->pairs[w->held][1] = i;
	if (w->held == 0) w->stamp = beat_stamp, w->frame.flags = dropped ? LOST : 0, dropped = 0;
	if (v == 0 || v == 1023 || i == 0 || i == 1023) w->frame.flags |= AT_END_STOP;
	if (++w->held == PER_WINDOW) end_window(w);
}

static void send_window(struct window *w) {
	w->frame.dt_us = DT_US, w->frame.n = MODE == SUMS ? 1 : w->held;
	send(&w->frame, MODE, tick_us(w->stamp), MODE == SUMS ? sizeof w->sums : w->held * sizeof *w->pairs);
	sending = after(w), w->held = 0, w->full = false;
}

// The converter takes the two of a pair one behind the other, and the later one first in the next pair. The third
// input has its turn behind every 16th pair, if there is time.
enum { VOLTAGE_INPUT, CURRENT_INPUT, THIRD_INPUT };
static volatile enum { NOTHING, FIRST, SECOND, THIRD } converting;
static uint32_t third_sum, third_taken;
static void choose(uint8_t input) { ADMUX = _BV(REFS0) | input; }
static void convert(uint8_t which) { ADCSRA |= _BV(ADSC), converting = which; }

ISR(TIMER1_COMPA_vect) {
	if (converting == NOTHING) convert(FIRST);
	else drop();
	uint32_t now = half_us();
	beat_stamp = now - (uint16_t)((uint16_t)now - OCR1A);
	OCR1A += 2 * DT_US;
	EIMSK = _BV(INT0) | _BV(INT1);
}

ISR(ADC_vect) {
	static uint16_t first, pairs;
	static bool current_first;
	uint16_t code = ADC;
	if (converting == FIRST) {
		choose(current_first ? VOLTAGE_INPUT : CURRENT_INPUT), convert(SECOND);
		first = code;
		return;
	}
	if (converting == SECOND) {
		if (++pairs >= 16 && OCR1A - TCNT1 > 2 * THIRD_US) pairs = 0, choose(THIRD_INPUT), convert(THIRD);
		take(filling, current_first ? code : first, current_first ? first : code);
		current_first = !current_first;
		if (converting == THIRD) return;
	} else third_sum += code, third_taken++;
	choose(current_first ? CURRENT_INPUT : VOLTAGE_INPUT);
	converting = NOTHING;
}
