// Runs the board's program in simavr: drives its pins from a script, and passes
// its serial line to a file or a pseudo terminal.
//
//   emulator ELF SCRIPT OUTPUT [noise_mv [seed [supply_mv]]]
//
// OUTPUT is a file, or "pty" for a pseudo terminal, whose path is printed first;
// the run then begins when somebody opens it, and keeps to real time.
//
// The script has one thing to happen per line, in order of time, which is in
// microseconds from the reset:
//
//   w TIME MV MV MV      the phase inputs, linear in between
//   h TIME LEVELS        the Hall lines h1 h2 h3
//   c TIME TEXT          the host sends TEXT and a line feed
//   p TIME ADDRESS N     32 bits of memory become N (ADDRESS as avr-nm prints it)
//   r TIME               the board is reset
//   e TIME               the end
//
// At the end it prints what it counted, "name value" per line.
//
// It is linked with libsimavr, which is under the GPL version 3.

#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <pty.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <avr_adc.h>
#include <avr_ioport.h>
#include <avr_uart.h>
#include <sim_avr.h>
#include <sim_elf.h>
#include <sim_interrupts.h>

#define HZ 16000000ULL
#define CYCLES_PER_US (HZ / 1000000)
#define VECTORS 26
#define ENTRY_CYCLES 4 // data sheet: interrupt execution response, and again from sleep
#define PACE_CYCLES (HZ / 1000)

static void die(const char *what) {
	perror(what);
	exit(1);
}

// The script.

struct event {
	char kind;
	double us;
	double mv[3];
	uint32_t n, address;
	char text[80];
};

static struct event *events;
static size_t event_count;

static void parse(struct event *e, const char *line) {
	int at = 0, ok = 0;

	memset(e, 0, sizeof *e);
	ok = sscanf(line, "%c %lf %n", &e->kind, &e->us, &at) == 2;
	switch (e->kind) {
	case 'w':
		ok = ok && sscanf(line + at, "%lf %lf %lf", &e->mv[0], &e->mv[1], &e->mv[2]) == 3;
		break;
	case 'h':
		ok = ok && strspn(line + at, "01") == 3;
		for (int i = 0; ok && i < 3; i++)
			e->n |= (uint32_t)(line[at + i] == '1') << i;
		break;
	case 'c':
		snprintf(e->text, sizeof e->text, "%s", line + at);
		break;
	case 'p':
		ok = ok && sscanf(line + at, "%x %u", &e->address, &e->n) == 2;
		break;
	case 'r':
	case 'e':
		break;
	default:
		ok = 0;
	}
	if (!ok) {
		fprintf(stderr, "script: %s\n", line);
		exit(1);
	}
}

static void read_script(const char *path) {
	FILE *f = fopen(path, "r");
	char line[120];
	size_t room = 0;

	if (!f)
		die(path);
	while (fgets(line, sizeof line, f)) {
		if (event_count == room) {
			room = room ? 2 * room : 1024;
			events = realloc(events, room * sizeof *events);
			if (!events)
				die("script");
		}
		parse(&events[event_count++], line);
	}
	fclose(f);
}

// The emulated board.

static avr_t *avr;
static avr_adc_t *adc;
static avr_uart_t *uart;
static int output = -1, is_pty;
static double noise_mv;
static uint64_t seed = 1;

static struct {
	avr_cycle_count_t busy, clock_start, entered[VECTORS], longest[VECTORS];
	uint64_t conversions, bytes;
	int finished;
} counted;

static void *io_module(const char *kind) {
	for (avr_io_t *io = avr->io_port; io; io = io->next)
		if (!strcmp(io->kind, kind))
			return io;
	fprintf(stderr, "no %s\n", kind);
	exit(1);
}

static double uniform(void) {
	seed ^= seed << 13; // xorshift, Marsaglia 2003
	seed ^= seed >> 7;
	seed ^= seed << 17;
	return (seed >> 11) * 0x1p-53;
}

static double gauss(void) { return sqrt(-2 * log(1 - uniform())) * cos(2 * M_PI * uniform()); }

// Sleeping takes no real time here.
static int slept;

static void idle(avr_t *a, avr_cycle_count_t cycles) {
	(void)a, (void)cycles;
	slept = 1;
}

// busy counts the cycles spent in interrupts or at work, which the program tells
// through GPIOR0. Going to sleep and waking up is neither.
static int depth, working;

static void account(void) {
	static avr_cycle_count_t last;

	if (depth || working)
		counted.busy += avr->cycle - last;
	last = avr->cycle;
}

static void work(avr_irq_t *irq, uint32_t value, void *param) {
	(void)irq, (void)param;
	account();
	working = value & 1;
}

// The board's clock counts from the moment it starts timer 1.
static void clock_started(avr_irq_t *irq, uint32_t value, void *param) {
	(void)irq, (void)param;
	if (value)
		counted.clock_start = avr->cycle;
}

// simavr enters interrupts in no time.
static void interrupt(avr_irq_t *irq, uint32_t running, void *param) {
	intptr_t vector = (intptr_t)param;
	(void)irq;

	if (running) {
		account();
		depth++;
		counted.entered[vector] = avr->cycle;
		avr->cycle += slept ? 2 * ENTRY_CYCLES : ENTRY_CYCLES;
		slept = 0;
		return;
	}
	account();
	depth--;
	avr_cycle_count_t took = avr->cycle - counted.entered[vector];
	if (took > counted.longest[vector])
		counted.longest[vector] = took;
}

// The converter. simavr takes the input's value when the result is read, and
// starts a conversion without waiting for the converter's clock. Here the input
// is sampled 1.5 clocks after the first clock edge that follows the request (13.5
// for the first conversion), and the end comes 13 (25) clocks after that edge. Up
// to then the last result can be read.

static size_t wave; // index of the last point passed

static double input_mv(double us, int channel) {
	while (wave + 1 < event_count && (events[wave + 1].kind != 'w' || events[wave + 1].us <= us)) {
		size_t next = wave + 1;
		while (next < event_count && events[next].kind != 'w')
			next++;
		if (next == event_count || events[next].us > us)
			break;
		wave = next;
	}
	size_t next = wave + 1;
	while (next < event_count && events[next].kind != 'w')
		next++;
	const struct event *a = &events[wave], *b = next < event_count ? &events[next] : a;
	double share = b->us > a->us ? (us - a->us) / (b->us - a->us) : 0;
	if (share < 0)
		share = 0;
	return a->mv[channel] + share * (b->mv[channel] - a->mv[channel]);
}

static int adc_divisor(void) { return 1 << ((avr->data[0x7a] & 7) ? (avr->data[0x7a] & 7) : 1); }

static int converting; // channel
static avr_cycle_count_t conversion_end;
static uint32_t result_mv;

static avr_cycle_count_t publish(avr_t *a, avr_cycle_count_t when, void *param) {
	(void)a, (void)when, (void)param;
	for (int i = 0; i < 8; i++)
		avr_raise_irq(adc->io.irq + ADC_IRQ_ADC0 + i, result_mv);
	return 0;
}

static avr_cycle_count_t sample(avr_t *a, avr_cycle_count_t when, void *param) {
	(void)param;
	uint32_t vref = (avr->data[0x7c] >> 6) == 3 ? 1100 : avr->avcc;
	double mv = input_mv((double)when / CYCLES_PER_US, converting) + noise_mv * gauss();
	int code = floor(mv * 1024 / vref);

	code = code < 0 ? 0 : code > 1023 ? 1023 : code;
	result_mv = ((uint32_t)code * vref + 1022) / 1023; // what simavr makes `code` of
	avr_cycle_timer_register(a, conversion_end - adc_divisor() / 2 - a->cycle, publish, NULL);
	for (avr_cycle_timer_slot_p t = a->cycle_timers.timer; t; t = t->next)
		if (t->param == adc) {
			avr_cycle_timer_register(a, conversion_end - a->cycle, t->timer, adc);
			break;
		}
	return 0;
}

static void triggered(avr_irq_t *irq, uint32_t value, void *param) {
	union {
		avr_adc_mux_t mux;
		uint32_t v;
	} e = {.v = value};
	(void)irq, (void)param;

	if (e.mux.kind != ADC_MUX_SINGLE)
		return;
	int div = adc_divisor(), first = adc->first;
	avr_cycle_count_t start = (avr->cycle / div + 1) * div;
	converting = e.mux.src;
	conversion_end = start + (first ? 25 : 13) * div;
	counted.conversions++;
	avr_cycle_timer_register(avr, start + (first ? 27 : 3) * div / 2 - avr->cycle, sample, NULL);
}

// The serial line. simavr makes a byte 11 bits long.

// How long a reader may take before it is taken for stuck.
#define READER_MS 10000

static void give_up(void) {
	counted.finished = 1;
	close(output);
	output = -1;
}

static void write_all(const uint8_t *p, size_t n) {
	while (n && output >= 0) {
		ssize_t wrote = write(output, p, n);
		if (wrote > 0) {
			p += wrote;
			n -= wrote;
			continue;
		}
		struct pollfd wait = {.fd = output, .events = POLLOUT};
		int ready = poll(&wait, 1, READER_MS);
		if (ready == 0) {
			fprintf(stderr, "the reader has not read for %d ms\n", READER_MS);
			exit(1);
		}
		if (ready > 0 && wait.revents & (POLLHUP | POLLERR))
			give_up(); // the reader is gone
	}
}

static uint8_t buffer[4096];
static size_t buffered;

static void flush(void) {
	write_all(buffer, buffered);
	buffered = 0;
}

static void sent(avr_irq_t *irq, uint32_t byte, void *param) {
	(void)irq, (void)param;
	uint32_t divisor = (avr->data[0xc4] | avr->data[0xc5] << 8) + 1;
	uart->cycles_per_byte = 10 * divisor * (avr->data[0xc0] & 2 ? 8 : 16);
	counted.bytes++;
	buffer[buffered++] = byte;
	if (buffered == sizeof buffer || (is_pty && byte == '\n'))
		flush();
}

static void host_sends(const char *p, size_t n) {
	while (n--)
		avr_raise_irq(uart->io.irq + UART_IRQ_INPUT, (uint8_t)*p++);
}

static void host_reads(void) {
	char got[64];
	ssize_t n = read(output, got, sizeof got);
	if (n > 0)
		host_sends(got, n);
}

// What happens when.

static size_t coming; // index of the next event that is not a wave point
static avr_cycle_count_t origin; // of the script, in cycles

static void set_hall(uint32_t levels) {
	// simavr's pull-ups would otherwise lift a line that is low.
	avr_ioport_external_t external = {.name = 'B', .mask = 7, .value = levels};
	avr_ioctl(avr, AVR_IOCTL_IOPORT_SET_EXTERNAL('B'), &external);
	for (int i = 0; i < 3; i++)
		avr_raise_irq(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), i), levels >> i & 1);
}

static void happen(const struct event *e) {
	switch (e->kind) {
	case 'h':
		set_hall(e->n);
		break;
	case 'c':
		host_sends(e->text, strcspn(e->text, "\n"));
		host_sends("\n", 1);
		break;
	case 'p':
		for (int i = 0; i < 4; i++)
			avr->data[(e->address & 0xffff) + i] = e->n >> 8 * i;
		break;
	case 'e':
		counted.finished = 1;
		break;
	}
}

static void skip_waves(void) {
	while (coming < event_count && events[coming].kind == 'w')
		coming++;
}

static avr_cycle_count_t cycle_of(const struct event *e) { return origin + (avr_cycle_count_t)(e->us * CYCLES_PER_US); }

static int reset_due;

static avr_cycle_count_t step(avr_t *a, avr_cycle_count_t when, void *param) {
	(void)param, (void)when;
	while (coming < event_count && cycle_of(&events[coming]) <= a->cycle) {
		if (events[coming].kind == 'r')
			reset_due = 1;
		happen(&events[coming++]);
		skip_waves();
	}
	return coming < event_count ? cycle_of(&events[coming]) : 0;
}

static void schedule(void) {
	skip_waves();
	if (coming < event_count) {
		avr_cycle_count_t at = cycle_of(&events[coming]);
		avr_cycle_timer_register(avr, at > avr->cycle ? at - avr->cycle : 1, step, NULL);
	}
}

// Setting up and running.

static void connect_all(void) {
	adc = io_module("adc");
	uart = io_module("uart");
	avr_irq_register_notify(adc->io.irq + ADC_IRQ_OUT_TRIGGER, triggered, NULL);
	avr_irq_register_notify(uart->io.irq + UART_IRQ_OUTPUT, sent, NULL);
	for (intptr_t v = 1; v < VECTORS; v++) {
		avr_irq_t *irq = avr_get_interrupt_irq(avr, v);
		if (irq)
			avr_irq_register_notify(irq + AVR_INT_IRQ_RUNNING, interrupt, (void *)v);
	}
	avr_irq_register_notify(avr_iomem_getirq(avr, 0x3e, NULL, AVR_IOMEM_IRQ_ALL), work, NULL); // GPIOR0
	avr_irq_register_notify(avr_iomem_getirq(avr, 0x81, NULL, AVR_IOMEM_IRQ_ALL), clock_started, NULL); // TCCR1B
	uint32_t flags = 0;
	avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
}

static void load(const char *path, uint32_t supply_mv) {
	elf_firmware_t firmware = {0};

	if (elf_read_firmware(path, &firmware))
		die(path);
	avr = avr_make_mcu_by_name("atmega328p");
	if (!avr)
		die("atmega328p");
	avr_init(avr);
	avr_load_firmware(avr, &firmware);
	avr->frequency = HZ;
	avr->vcc = avr->avcc = avr->aref = supply_mv;
	avr->log = LOG_ERROR;
	avr->sleep = idle;
	avr->run_cycle_limit = 1000;
	connect_all();
	set_hall(0);
}

static void open_pty(void) {
	int slave;
	struct termios raw;
	char name[100];

	if (openpty(&output, &slave, name, NULL, NULL))
		die("openpty");
	tcgetattr(slave, &raw);
	cfmakeraw(&raw);
	tcsetattr(slave, TCSANOW, &raw);
	close(slave);
	fcntl(output, F_SETFL, O_NONBLOCK);
	is_pty = 1;
	printf("port %s\n", name);
	fflush(stdout);
	for (int tries = 0;; tries++) {
		struct pollfd opened = {.fd = output, .events = POLLOUT};
		poll(&opened, 1, 0);
		if (!(opened.revents & POLLHUP))
			return;
		if (tries == 10000) {
			fprintf(stderr, "nobody opened %s\n", name);
			exit(1);
		}
		usleep(1000);
	}
}

static void pace(void) {
	static struct timespec begin;
	static avr_cycle_count_t due;
	struct timespec until;

	if (avr->cycle < due)
		return;
	if (!due)
		clock_gettime(CLOCK_MONOTONIC, &begin);
	host_reads();
	uint64_t ns = begin.tv_nsec + due * 1000 / (HZ / 1000000);
	until.tv_sec = begin.tv_sec + ns / 1000000000;
	until.tv_nsec = ns % 1000000000;
	clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &until, NULL);
	due += PACE_CYCLES;
}

static void reset(void) {
	reset_due = 0;
	avr_reset(avr);
	schedule();
}

static void run(void) {
	schedule();
	while (!counted.finished) {
		int state = avr_run(avr);
		if (state == cpu_Crashed || state == cpu_Done) {
			fprintf(stderr, "the program stopped\n");
			exit(1);
		}
		if (reset_due)
			reset();
		if (is_pty)
			pace();
	}
}

static void print_counts(void) {
	printf("cycles %llu\nbusy %llu\n", (unsigned long long)avr->cycle, (unsigned long long)counted.busy);
	printf("clock_start %llu\n", (unsigned long long)counted.clock_start);
	printf("conversions %llu\nbytes %llu\n", (unsigned long long)counted.conversions, (unsigned long long)counted.bytes);
	for (int v = 1; v < VECTORS; v++)
		if (counted.longest[v])
			printf("longest_%d %llu\n", v, (unsigned long long)counted.longest[v]);
}

int main(int argc, char **argv) {
	if (argc < 4) {
		fprintf(stderr, "usage: emulator ELF SCRIPT OUTPUT [noise_mv [seed [supply_mv]]]\n");
		return 2;
	}
	if (argc > 4)
		noise_mv = atof(argv[4]);
	if (argc > 5)
		seed = strtoull(argv[5], NULL, 10) * 2 + 1;
	read_script(argv[2]);
	load(argv[1], argc > 6 ? atoi(argv[6]) : 5000);
	if (!strcmp(argv[3], "pty"))
		open_pty();
	else if ((output = open(argv[3], O_WRONLY | O_CREAT | O_TRUNC, 0666)) < 0)
		die(argv[3]);
	run();
	flush();
	if (is_pty && output >= 0)
		usleep(300000); // closing it throws away what has not been read
	print_counts();
	return 0;
}
