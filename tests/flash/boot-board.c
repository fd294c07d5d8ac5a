/*
 * A board with a serial boot loader: an AVR in simavr, which can program its own flash, its UART at a pseudo-terminal.
 *
 *   boot-board CHIP LINK HEX[@ADDRESS]... [--start ADDRESS]
 *
 * LINK becomes a link to the pseudo-terminal. As on a board whose reset hangs on DTR, opening the terminal resets the chip. What comes
 * at another speed than the chip's UART is set to is not what was sent. Commands on standard input, a line each: `pull BYTES` takes the
 * cable out after so many more bytes and plugs it in again, `quit` ends. Says `ready` and `pulled` on standard output.
 */
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_hex.h>
#include <simavr/sim_irq.h>

#define CLOCK_HZ 16000000
#define MCUSR 0x54
#define EXTRF 0x02
#define UCSR0A 0xC0
#define U2X0 0x02
#define UBRR0 0xC4

static avr_t *chip;
static int host = -1, board = -1;
static const char *link_path;
static int may_receive = 1, is_open = 0;
static long pull_after = -1;
static uint32_t start_at;

static void fail(const char *what) {
  perror(what);
  exit(1);
}

static void plug_in(void) {
  struct termios raw;
  char name[128];
  if (openpty(&host, &board, name, NULL, NULL) != 0) fail("openpty");
  tcgetattr(board, &raw);
  cfmakeraw(&raw);
  tcsetattr(board, TCSANOW, &raw);
  close(board);
  fcntl(host, F_SETFL, O_NONBLOCK);
  unlink(link_path);
  if (symlink(name, link_path) != 0) fail(link_path);
  is_open = 0;
}

/* Bits a second that the UART is set to. */
static double chip_baud(void) {
  const uint8_t *data = chip->data;
  int divisor = (data[UBRR0] | data[UBRR0 + 1] << 8) + 1;
  return (double)CLOCK_HZ / ((data[UCSR0A] & U2X0 ? 8 : 16) * divisor);
}

static double host_baud(void) {
  static const struct { speed_t code; double baud; } speeds[] = {
      {B9600, 9600}, {B19200, 19200}, {B38400, 38400}, {B57600, 57600}, {B115200, 115200}, {B230400, 230400}};
  struct termios set;
  if (tcgetattr(host, &set) != 0) return 0;
  for (size_t i = 0; i < sizeof speeds / sizeof *speeds; i++)
    if (speeds[i].code == cfgetospeed(&set)) return speeds[i].baud;
  return 0;
}

static int speeds_agree(void) {
  double share = host_baud() / chip_baud();
  return share > 0.96 && share < 1.04;
}

static void sent_by_chip(struct avr_irq_t *irq, uint32_t value, void *param) {
  (void)irq, (void)param;
  uint8_t byte = speeds_agree() ? value : value ^ 0xA5;
  if (is_open && write(host, &byte, 1) < 0 && errno != EAGAIN) is_open = 0;
}

static void chip_has_room(struct avr_irq_t *irq, uint32_t value, void *param) {
  (void)irq, (void)value;
  may_receive = param != NULL;
}

static void reset_chip(void) {
  avr_reset(chip);
  chip->pc = start_at;
  chip->data[MCUSR] = EXTRF;
}

static void serve_host(void) {
  struct pollfd look = {host, POLLIN, 0};
  poll(&look, 1, 0);
  int now = !(look.revents & POLLHUP);
  if (now && !is_open) reset_chip();
  is_open = now;
  if (!(look.revents & POLLIN) || !may_receive) return;
  uint8_t byte;
  if (read(host, &byte, 1) != 1) return;
  avr_raise_irq(avr_io_getirq(chip, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT), speeds_agree() ? byte : byte ^ 0xA5);
  if (pull_after > 0 && --pull_after == 0) {
    close(host);
    usleep(300000);
    plug_in();
    pull_after = -1;
    puts("pulled");
    fflush(stdout);
  }
}

static void obey(void) {
  char line[80];
  struct pollfd look = {0, POLLIN, 0};
  if (poll(&look, 1, 0) <= 0) return;
  if (fgets(line, sizeof line, stdin) == NULL || strncmp(line, "quit", 4) == 0) exit(0);
  if (strncmp(line, "pull ", 5) == 0) pull_after = atol(line + 5);
}

static void load(char *hex) {
  char *at = strrchr(hex, '@');
  if (at != NULL) *at = 0;
  ihex_chunk_p chunks;
  int count = read_ihex_chunks(hex, &chunks);
  if (count <= 0) fail(hex);
  for (int i = 0; i < count; i++) memcpy(chip->flash + chunks[i].baseaddr, chunks[i].data, chunks[i].size);
}

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return now.tv_sec + now.tv_nsec / 1e9;
}

int main(int count, char **args) {
  if (count < 4) return 2;
  chip = avr_make_mcu_by_name(args[1]);
  if (chip == NULL) fail(args[1]);
  avr_init(chip);
  chip->frequency = CLOCK_HZ;
  memset(chip->flash, 0xFF, chip->flashend + 1);
  link_path = args[2];
  for (int i = 3; i < count; i++) {
    if (strcmp(args[i], "--start") == 0) start_at = strtoul(args[++i], NULL, 0);
    else load(args[i]);
  }
  chip->codeend = chip->flashend;
  uint32_t flags = 0;
  avr_ioctl(chip, AVR_IOCTL_UART_GET_FLAGS('0'), &flags);
  flags &= ~(AVR_UART_FLAG_STDIO | AVR_UART_FLAG_POLL_SLEEP);
  avr_ioctl(chip, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
  avr_irq_register_notify(avr_io_getirq(chip, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), sent_by_chip, NULL);
  avr_irq_register_notify(avr_io_getirq(chip, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUT_XON), chip_has_room, &chip);
  avr_irq_register_notify(avr_io_getirq(chip, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUT_XOFF), chip_has_room, NULL);
  plug_in();
  reset_chip();
  puts("ready");
  fflush(stdout);
  double began = seconds();
  avr_cycle_count_t first = chip->cycle;
  for (;;) {
    /* no faster than the wall's clock, a millisecond at a time; time that was lost is not made up */
    avr_cycle_count_t due = first + (avr_cycle_count_t)((seconds() - began) * CLOCK_HZ);
    if (due > chip->cycle + CLOCK_HZ / 10) began = seconds(), first = chip->cycle, due = first + CLOCK_HZ / 1000;
    while (chip->cycle < due) {
      int state = avr_run(chip);
      if (state == cpu_Crashed) reset_chip();
      if (state == cpu_Done) exit(0);
      if ((chip->cycle & 0x3FF) < 8) serve_host();
    }
    serve_host();
    obey();
    usleep(500);
  }
}
