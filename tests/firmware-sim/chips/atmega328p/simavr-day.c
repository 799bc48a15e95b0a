/*
 * simavr-day.c: a board's image on simavr, an emulator that shares nothing with
 * ours: battery clock, log memory and tick around it, and what its outputs
 * show in the middle of each second.
 *
 * Usage: simavr-day HEX EEPROM SECOND SECONDS OUTPUT...
 * EEPROM: a file of 1,024 bytes. SECOND: UTC from 2000 at power-on. OUTPUT:
 * PORT:BIT:ACTIVE, or PORT:BIT:1:CONTROL:MASK:COMPARE where a timer dims it;
 * registers by their data addresses. Prints SECOND LEVELS at each change.
 */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <simavr/avr_eeprom.h>
#include <simavr/avr_extint.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_twi.h>
#include <simavr/parts/i2c_eeprom.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_hex.h>
#include <simavr/sim_time.h>

#define HZ 16000000u
#define CLOCK_ADDRESS 0xD0u
#define LOG_ADDRESS 0xAEu
/* 2000-01-01 in Unix seconds. */
#define EPOCH 946684800

struct output {
  unsigned port, bit, active, control, mask, compare;
};

static struct {
  avr_t *avr;
  avr_irq_t *tick;
  avr_irq_t *bus; /* of the clock, towards the chip */
  uint32_t second;
  uint8_t registers[19];
  uint8_t selected, at, index;
  struct output outputs[8];
  int count;
  char shown[17];
} bench;

static uint8_t bcd(int value) { return (uint8_t)(value / 10 * 16 + value % 10); }

static void load_time(void) {
  time_t unix_time = (time_t)bench.second + EPOCH;
  struct tm *utc = gmtime(&unix_time);
  const int fields[7] = {utc->tm_sec, utc->tm_min, utc->tm_hour, utc->tm_wday + 1, utc->tm_mday, utc->tm_mon + 1, utc->tm_year - 100};
  for (int at = 0; at < 7; at++) bench.registers[at] = bcd(fields[at]);
}

static void answer(uint8_t what, uint8_t data) {
  avr_raise_irq(bench.bus + TWI_IRQ_INPUT, avr_twi_irq_msg(what, bench.selected, data));
}

static void on_bus(struct avr_irq_t *irq, uint32_t value, void *param) {
  avr_twi_msg_irq_t message = {.u.v = value};
  (void)irq;
  (void)param;
  if (message.u.twi.msg & TWI_COND_STOP) bench.selected = 0;
  if (message.u.twi.msg & TWI_COND_START) {
    bench.selected = 0;
    bench.index = 0;
    if ((message.u.twi.addr & 0xFEu) == CLOCK_ADDRESS) {
      bench.selected = message.u.twi.addr;
      answer(TWI_COND_ACK, 1);
      load_time();
    }
  }
  if (bench.selected == 0) return;
  if (message.u.twi.msg & TWI_COND_WRITE) {
    answer(TWI_COND_ACK, 1);
    if (bench.index++ == 0) {
      bench.at = message.u.twi.data;
    } else {
      bench.registers[bench.at++ % sizeof bench.registers] = message.u.twi.data;
    }
  }
  if (message.u.twi.msg & TWI_COND_READ) {
    answer(TWI_COND_READ, bench.registers[bench.at++ % sizeof bench.registers]);
  }
}

static uint8_t level(const struct output *output) {
  const uint8_t *data = bench.avr->data;
  if (!((data[output->port - 1u] >> output->bit) & 1)) return 0; /* not driven: direction lies before the port */
  if (output->control != 0 && (data[output->control] & output->mask)) return data[output->compare];
  return ((data[output->port] >> output->bit) & 1) == output->active ? 0xFF : 0;
}

static avr_cycle_count_t on_middle(avr_t *avr, avr_cycle_count_t when, void *param) {
  char now[17] = "";
  (void)param;
  (void)avr;
  for (int at = 0; at < bench.count; at++) sprintf(now + 2 * at, "%02x", level(&bench.outputs[at]));
  if (strcmp(now, bench.shown) != 0) printf("%u %s\n", bench.second, now);
  strcpy(bench.shown, now);
  avr_raise_irq(bench.tick, 1);
  return when + HZ;
}

static avr_cycle_count_t on_second(avr_t *avr, avr_cycle_count_t when, void *param) {
  (void)avr;
  (void)param;
  bench.second++;
  avr_raise_irq(bench.tick, 0);
  return when + HZ;
}

/* Virtual time needs no real one. */
static void no_sleep(avr_t *avr, avr_cycle_count_t cycles) {
  (void)avr;
  (void)cycles;
}

static void pull_up(char port, uint8_t mask) {
  avr_ioport_external_t external = {.name = (unsigned long)port, .mask = mask, .value = mask};
  avr_ioctl(bench.avr, AVR_IOCTL_IOPORT_SET_EXTERNAL(port), &external);
}

static void read_outputs(char **words, int count) {
  bench.count = count;
  for (int at = 0; at < count; at++) {
    struct output *one = &bench.outputs[at];
    if (sscanf(words[at], "%u:%u:%u:%u:%u:%u", &one->port, &one->bit, &one->active, &one->control, &one->mask, &one->compare) < 3) exit(2);
  }
}

int main(int count, char **words) {
  uint8_t eeprom[1024];
  uint32_t size, base;
  static i2c_eeprom_t log_memory;
  if (count < 6 || count > 13) return 2;
  FILE *file = fopen(words[2], "rb");
  if (!file || fread(eeprom, 1, sizeof eeprom, file) != sizeof eeprom) return 2;
  fclose(file);
  read_outputs(words + 5, count - 5);
  uint8_t *image = read_ihex_file(words[1], &size, &base);
  avr_t *avr = bench.avr = avr_make_mcu_by_name("atmega328p");
  if (!image || !avr) return 2;
  avr_init(avr);
  avr->frequency = HZ;
  avr->vcc = avr->avcc = avr->aref = 5000;
  avr->log = LOG_ERROR;
  memcpy(avr->flash + base, image, size);
  avr->codeend = avr->flashend;
  avr->sleep = no_sleep;
  avr->run_cycle_limit = HZ; /* sleep up to the next timer, not cycle by cycle */
  avr_eeprom_desc_t stored = {.ee = eeprom, .offset = 0, .size = sizeof eeprom};
  avr_ioctl(avr, AVR_IOCTL_EEPROM_SET, &stored);
  /* Else simavr looks at a pin that is low in every cycle, whether its interrupt is on or not. */
  avr_extint_set_strict_lvl_trig(avr, 0, 0);
  avr_extint_set_strict_lvl_trig(avr, 1, 0);
  bench.second = (uint32_t)strtoul(words[3], NULL, 10);
  unsigned long seconds = strtoul(words[4], NULL, 10);

  static const char *names[TWI_IRQ_COUNT] = {"8>clock.in", "32<clock.out", "32>clock.status"};
  bench.bus = avr_alloc_irq(&avr->irq_pool, 0, TWI_IRQ_COUNT, names);
  avr_irq_register_notify(bench.bus + TWI_IRQ_OUTPUT, on_bus, NULL);
  avr_connect_irq(bench.bus + TWI_IRQ_INPUT, avr_io_getirq(avr, AVR_IOCTL_TWI_GETIRQ(0), TWI_IRQ_INPUT));
  avr_connect_irq(avr_io_getirq(avr, AVR_IOCTL_TWI_GETIRQ(0), TWI_IRQ_OUTPUT), bench.bus + TWI_IRQ_OUTPUT);
  i2c_eeprom_init(avr, &log_memory, LOG_ADDRESS, 0x01, NULL, 4096);
  i2c_eeprom_attach(avr, &log_memory, AVR_IOCTL_TWI_GETIRQ(0));

  pull_up('B', 1 << 4);                         /* the probe's wire: no probe answers */
  pull_up('C', (1 << 2) | (1 << 4) | (1 << 5)); /* button, and the bus */
  bench.tick = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('D'), 2);
  avr_raise_irq(bench.tick, 1);
  avr_cycle_timer_register(avr, HZ, on_second, NULL);
  avr_cycle_timer_register(avr, HZ + HZ / 2, on_middle, NULL);

  while (avr->cycle < (avr_cycle_count_t)seconds * HZ) {
    int state = avr_run(avr);
    if (state == cpu_Done || state == cpu_Crashed) {
      fprintf(stderr, "stopped in state %d at %04x\n", state, avr->pc);
      return 1;
    }
  }
  return 0;
}
