/* Reference for the tests: writes and reads timecode with libltc.
 *
 *   reference write RATE NUM DEN STANDARD DROP H M S F COUNT SPEED
 *     COUNT frames as unsigned 8-bit samples; SPEED as libltc has it, larger is
 *     slower, below 0 backwards
 *   reference read RATE SAMPLES_PER_FRAME
 *     32-bit floats from stdin; a line a frame: label, drop, reverse, first and
 *     last sample, bytes
 *   reference day COUNT STANDARD DROP FRAMES
 *     FNV-1a of the bytes of FRAMES frames that follow on 00:00:00:00, and the
 *     bytes of the last
 *   reference date YY MM DD ZONE
 *     user bits
 *   reference time RATE NUM DEN FRAMES
 *     seconds taken to write and to read FRAMES frames
 */
#include <ltc.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static void print_bytes(const LTCFrame *f) {
	for (int i = 0; i < 10; i++)
		printf("%02x", ((const unsigned char *)f)[i]);
}

static LTCEncoder *encoder(char **a) {
	return ltc_encoder_create(atof(a[0]), atof(a[1]) / atof(a[2]), atoi(a[3]), LTC_BGF_DONT_TOUCH);
}

static int write_frames(char **a) {
	LTCEncoder *e = encoder(a);
	SMPTETimecode t = {.hours = atoi(a[5]), .mins = atoi(a[6]), .secs = atoi(a[7]), .frame = atoi(a[8])};
	double speed = atof(a[10]);
	LTCFrame f;
	ltc_encoder_set_buffersize(e, atof(a[0]) * 2, atof(a[1]) / atof(a[2]));
	/* libltc sets the flag by itself at 30000/1001 */
	ltc_encoder_get_frame(e, &f);
	f.dfbit = atoi(a[4]);
	ltc_encoder_set_frame(e, &f);
	ltc_encoder_set_timecode(e, &t);
	for (int i = 0; i < atoi(a[9]); i++) {
		unsigned char *p;
		for (int b = 0; b < 10; b++)
			if (ltc_encoder_encode_byte(e, speed < 0 ? 9 - b : b, speed))
				return 1;
		int n = ltc_encoder_get_bufferptr(e, &p, 1);
		fwrite(p, 1, n, stdout);
		if (speed < 0)
			ltc_encoder_dec_timecode(e);
		else
			ltc_encoder_inc_timecode(e);
	}
	return 0;
}

static int read_frames(char **a) {
	LTCDecoder *d = ltc_decoder_create(atoi(a[1]), 64);
	float buf[1024];
	size_t n;
	long long at = 0;
	LTCFrameExt f;
	while ((n = fread(buf, sizeof *buf, 1024, stdin)) > 0) {
		ltc_decoder_write_float(d, buf, n, at);
		at += n;
		while (ltc_decoder_read(d, &f)) {
			SMPTETimecode t;
			ltc_frame_to_time(&t, &f.ltc, 0);
			printf("%02d:%02d:%02d:%02d %d %d %lld %lld ", t.hours, t.mins, t.secs, t.frame,
				f.ltc.dfbit, f.reverse != 0, f.off_start, f.off_end);
			print_bytes(&f.ltc);
			printf("\n");
		}
	}
	return 0;
}

static int day(char **a) {
	LTCFrame f;
	SMPTETimecode t = {.hours = 0};
	unsigned long long hash = 14695981039346656037ULL;
	long frames = atol(a[3]);
	ltc_frame_reset(&f);
	f.dfbit = atoi(a[2]);
	ltc_time_to_frame(&f, &t, atoi(a[1]), 0);
	for (long i = 0; i < frames; i++) {
		if (i > 0)
			ltc_frame_increment(&f, atoi(a[0]), atoi(a[1]), 0);
		for (int b = 0; b < 10; b++)
			hash = (hash ^ ((unsigned char *)&f)[b]) * 1099511628211ULL;
	}
	printf("%016llx ", hash);
	print_bytes(&f);
	printf("\n");
	return 0;
}

static int date(char **a) {
	LTCFrame f;
	SMPTETimecode t = {.years = atoi(a[0]), .months = atoi(a[1]), .days = atoi(a[2])};
	strncpy(t.timezone, a[3], 5);
	ltc_frame_reset(&f);
	ltc_time_to_frame(&f, &t, LTC_TV_525_60, LTC_USE_DATE);
	printf("%08lx\n", ltc_frame_get_user_bits(&f));
	return 0;
}

static double now(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec + t.tv_nsec * 1e-9;
}

static int timing(char **a) {
	char *args[] = {a[0], a[1], a[2], "0"};
	LTCEncoder *e = encoder(args);
	LTCDecoder *d = ltc_decoder_create(atof(a[0]) * atof(a[2]) / atof(a[1]), 64);
	double writing = 0, reading = 0;
	long long at = 0;
	LTCFrameExt f;
	int found = 0;
	for (int i = 0; i < atoi(a[3]); i++) {
		unsigned char *p;
		double t0 = now();
		ltc_encoder_encode_frame(e);
		int n = ltc_encoder_get_bufferptr(e, &p, 1);
		ltc_encoder_inc_timecode(e);
		double t1 = now();
		ltc_decoder_write(d, p, n, at);
		while (ltc_decoder_read(d, &f))
			found++;
		reading += now() - t1;
		writing += t1 - t0;
		at += n;
	}
	printf("%f %f %d\n", writing, reading, found);
	return 0;
}

int main(int n, char **a) {
	if (n == 13 && !strcmp(a[1], "write")) return write_frames(a + 2);
	if (n == 4 && !strcmp(a[1], "read")) return read_frames(a + 2);
	if (n == 6 && !strcmp(a[1], "day")) return day(a + 2);
	if (n == 6 && !strcmp(a[1], "date")) return date(a + 2);
	if (n == 6 && !strcmp(a[1], "time")) return timing(a + 2);
	fprintf(stderr, "wrong arguments\n");
	return 2;
}
