// The wire and the turns of the torch. The inputs of port D are pulled up, and closed to ground. Each interrupt turns
// itself off until the next sample, 200 us later, so that no storm of pulses holds up the timer.
enum { TURN_A = 1 << 2, WIRE = 1 << 3, TURN_B = 1 << 4, INDEX = 1 << 5 };

static volatile uint32_t wire_count, wire_stamp;
ISR(INT1_vect) { EIMSK &= ~_BV(INT1), wire_count++, wire_stamp = half_us(); }

// The last count, and the last that came to the reference mark: clockwise the one at which the index closes,
// anti-clockwise the one at which it opens.
static struct turn { uint32_t stamp; int32_t count; } turn, mark;
static bool turn_a, turn_at_index, mark_waits;
static uint8_t turn_bounces; // looks for which a switch is not believed

ISR(INT0_vect) {
	EIMSK &= ~_BV(INT0);
	uint8_t pins = PIND;
	bool a = pins & TURN_A, b = pins & TURN_B, at_index = !(pins & INDEX), bounces = turn_bounces > 0;
	if (a == turn_a) return; // a disturbance, over already
	turn_a = a, turn_bounces = 3;
	if (!TURN_HAS_DIRECTION && (a || bounces)) return;
	int8_t way = !TURN_HAS_DIRECTION ? 1 : a != b ? TURN_FORWARD : -TURN_FORWARD;
	turn.stamp = half_us(), turn.count += way;
	bool comes = COUNTS_PER_TURN == 1 || (at_index != turn_at_index && at_index == (way > 0));
	turn_at_index = at_index;
	if (comes && !mark_waits) mark = turn, mark_waits = true;
}

static void say_turn(struct turn t, uint8_t flags) {
	struct { uint64_t tick_us; int32_t count; } body = {tick_us(t.stamp), t.count};
	say(TURN, body.tick_us, flags, 1, &body, sizeof body);
}

// look_at_turns says the newest count, where it is new, behind that at the mark. Those between need not be sent.
static void look_at_turns(void) {
	static int32_t said;
	struct turn newest, at_mark;
	bool marked;
	ATOMIC_BLOCK(ATOMIC_FORCEON) {
		newest = turn, at_mark = mark, marked = mark_waits, mark_waits = false;
		if (turn_bounces) turn_bounces--;
	}
	if (marked) say_turn(at_mark, AT_MARK), said = at_mark.count;
	if (newest.count != said) say_turn(newest, 0), said = newest.count;
}
