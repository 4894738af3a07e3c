// Frames and the line to the host, as acquire/link/FORMAT.md has them.
enum { HELLO = 1, SAMPLES, SUMS, SLOW, TURN, PONG, PING = 128 };     // types
enum { LOST = 1, AT_END_STOP = 2, AT_MARK = 4 };                     // flags
enum { HEADER = 20, CHECKSUM = 4, LONGEST_BODY = 488, PING_BODY = 4 }; // bytes

// A frame lies in memory as it travels: this processor is little-endian, and pads nothing.
struct frame {
	uint8_t version, type;
	uint16_t boot;
	uint32_t seq;
	uint64_t tick_us;
	uint16_t dt_us;
	uint8_t n, flags, body[]; // and room for the checksum
};

static uint16_t boot;
static volatile uint8_t queue[128], queue_in, queue_out;

// The interrupt is on only while a byte waits.
ISR(USART_UDRE_vect) {
	UDR0 = queue[queue_out];
	queue_out = (queue_out + 1) % sizeof queue;
	if (queue_out == queue_in) UCSR0B &= ~_BV(UDRIE0);
}

static void put(uint8_t byte) {
	while ((queue_in + 1) % sizeof queue == queue_out) {}
	queue[queue_in] = byte;
	ATOMIC_BLOCK(ATOMIC_FORCEON) queue_in = (queue_in + 1) % sizeof queue, UCSR0B |= _BV(UDRIE0);
}

// checksum is CRC-32C, four bits at a time; 0x82f63b78 is its polynomial, reflected.
static uint32_t checksum(const uint8_t *at, const uint8_t *end) {
	static const uint32_t table[16] = {
		0x00000000, 0x105ec76f, 0x20bd8ede, 0x30e349b1, 0x417b1dbc, 0x5125dad3, 0x61c69362, 0x7198540d,
		0x82f63b78, 0x92a8fc17, 0xa24bb5a6, 0xb21572c9, 0xc38d26c4, 0xd3d3e1ab, 0xe330a81a, 0xf36e6f75,
	};
	uint32_t sum = 0xffffffff;
	for (; at < end; at++) {
		sum = sum >> 4 ^ table[(sum ^ *at) & 15];
		sum = sum >> 4 ^ table[(sum ^ *at >> 4) & 15];
	}
	return ~sum;
}

// stuff queues COBS: each run without a zero, at most 254 long, behind its length and one.
static void stuff(const uint8_t *at, const uint8_t *end) {
	for (;;) {
		const uint8_t *run = at;
		while (at < end && *at && at - run < 254) at++;
		bool full = at - run == 254;
		put(at - run + 1);
		while (run < at) put(*run++);
		if (at == end) break;
		if (!full) at++; // the zero that the code stands for
	}
	put(0);
}

static void send(struct frame *f, uint8_t type, uint64_t tick, uint16_t length) {
	static uint32_t seq;
	f->version = 1, f->type = type, f->boot = boot, f->seq = seq++, f->tick_us = tick;
	uint8_t *end = f->body + length;
	uint32_t sum = checksum(&f->version, end);
	memcpy(end, &sum, CHECKSUM);
	stuff(&f->version, end + CHECKSUM);
}

// say sends a short frame of n values.
static void say(uint8_t type, uint64_t tick, uint8_t flags, uint8_t n, const void *body, uint8_t length) {
	static struct { struct frame frame; uint8_t body[12 + CHECKSUM]; } f;
	f.frame.n = n, f.frame.flags = flags;
	memcpy(f.body, body, length);
	send(&f.frame, type, tick, length);
}

static uint8_t ping[1 + HEADER + PING_BODY + CHECKSUM];
static volatile uint8_t ping_length, ping_waits;
static uint32_t ping_stamp;

ISR(USART_RX_vect) {
	uint8_t byte = UDR0;
	if (ping_waits) return;
	if (byte == 0) ping_stamp = half_us(), ping_waits = ping_length > 0;
	else if (ping_length < sizeof ping) ping[ping_length++] = byte;
	else ping_length = UINT8_MAX; // longer than a PING
}

// answer_ping makes zeros again of the codes of COBS, and looks whether it is one.
static void answer_ping(void) {
	uint16_t at = 0;
	for (uint16_t code; ping_length == sizeof ping && at < sizeof ping; at += code) code = ping[at], ping[at] = 0;
	const uint8_t *payload = ping + 1, *end = payload + HEADER + PING_BODY;
	uint32_t sum = checksum(payload, end);
	if (at == sizeof ping && payload[0] == 1 && payload[1] == PING && memcmp(&sum, end, CHECKSUM) == 0) {
		struct { uint32_t nonce; uint64_t tick_us; } pong = {0, tick_us(ping_stamp)};
		memcpy(&pong.nonce, payload + HEADER, sizeof pong.nonce);
		say(PONG, pong.tick_us, 0, 1, &pong, sizeof pong);
	}
	ping_length = ping_waits = 0;
}
