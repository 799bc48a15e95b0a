#include "link.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "crc.h"
#include "map.h"
#include "storage.h"

#define READ_COILS 1u
#define READ_HOLDINGS 3u
#define READ_INPUTS 4u
#define WRITE_COIL 5u
#define WRITE_REGISTER 6u
#define WRITE_COILS 15u
#define WRITE_REGISTERS 16u
#define IDENTIFY 43u
#define IDENTIFY_MEI 14u
#define EXCEPTION_BIT 0x80u
#define BROADCAST 0u
#define COILS_MOST 2000u
#define COILS_WRITE_MOST 1968u
#define REGISTERS_WRITE_MOST 123u
#define OBJECTS 3u
#define CONFORMITY 0x81u

/* Filled by link_receive. */
static volatile uint8_t count;
static volatile uint16_t crc;
static volatile bool taken; /* a request is in work */
static uint8_t frame[LINK_BYTES];

static struct {
  bool working;
  bool answers; /* not a broadcast */
  uint8_t unit; /* to answer as */
  uint16_t crc; /* of the reply so far */
} request;

void link_start(void) {
  count = 0;
  crc = 0xFFFFu;
  request.working = false;
  taken = false;
  map_start();
}

void link_receive(uint8_t byte, bool after_silence) {
  if (taken) return;
  if (after_silence) {
    count = 0;
    crc = 0xFFFFu;
  }
  if (count == 0xFFu) return;
  if (count < LINK_BYTES) frame[count] = byte;
  count++;
  crc = crc16_step(crc, byte);
}

static uint16_t word(uint8_t at) { return (uint16_t)((frame[at] << 8) | frame[at + 1u]); }

/* ---- replies ---- */

static void reply_byte(uint8_t byte) {
  request.crc = crc16_step(request.crc, byte);
  if (request.answers) hal_send(byte);
}

static void reply_word(uint16_t value) {
  reply_byte((uint8_t)(value >> 8));
  reply_byte((uint8_t)value);
}

static void reply_begin(uint8_t function) {
  request.crc = 0xFFFFu;
  reply_byte(request.unit);
  reply_byte(function);
}

static void reply_end(void) {
  uint16_t sum = request.crc;
  if (!request.answers) return;
  hal_send((uint8_t)sum);
  hal_send((uint8_t)(sum >> 8));
  hal_send_end();
}

static void reply_exception(uint8_t exception) {
  reply_begin((uint8_t)(frame[1] | EXCEPTION_BIT));
  reply_byte(exception);
  reply_end();
}

/* The reply to every write: address and value or count as they came. */
static void reply_echo(void) {
  reply_begin(frame[1]);
  reply_word(word(2));
  reply_word(word(4));
  reply_end();
}

/* ---- requests: each gives 0 when it has answered, else an exception or MAP_WAIT ---- */

static uint8_t read_coils(void) {
  uint16_t wanted = word(4);
  if (wanted == 0 || wanted > COILS_MOST) return MAP_EXCEPTION_VALUE;
  uint8_t exception = map_check_coils(word(2), wanted);
  if (exception != MAP_OK) return exception;
  uint16_t bits = 0;
  for (uint16_t at = 0; at < wanted; at++) {
    if (map_coil((uint16_t)(word(2) + at))) bits = (uint16_t)(bits | (1u << at));
  }
  reply_begin(READ_COILS);
  reply_byte(wanted > 8 ? 2 : 1);
  reply_byte((uint8_t)bits);
  if (wanted > 8) reply_byte((uint8_t)(bits >> 8));
  reply_end();
  return MAP_OK;
}

static uint8_t read_registers(bool inputs) {
  uint16_t address = word(2);
  uint16_t wanted = word(4);
  if (wanted == 0 || wanted > MAP_MAX_READ_REGISTERS) return MAP_EXCEPTION_VALUE;
  uint8_t exception = inputs ? map_check_inputs(address, wanted) : map_check_holdings(address, wanted);
  if (exception != MAP_OK) return exception;
  reply_begin(frame[1]);
  reply_byte((uint8_t)(2u * wanted));
  for (; wanted > 0; wanted--, address++) reply_word(inputs ? map_input(address) : map_holding(address));
  reply_end();
  return MAP_OK;
}

static uint8_t write_coil(void) {
  uint16_t value = word(4);
  if (!map_has_coil(word(2))) return MAP_EXCEPTION_ADDRESS;
  if (value != 0xFF00u && value != 0) return MAP_EXCEPTION_VALUE;
  return map_write_coils(word(2), 1, value != 0 ? 1 : 0);
}

static uint8_t write_coils(void) {
  uint16_t wanted = word(4);
  if (wanted == 0 || wanted > COILS_WRITE_MOST || frame[6] != (wanted + 7u) / 8u) return MAP_EXCEPTION_VALUE;
  if (wanted > MAP_COIL_COUNT) return MAP_EXCEPTION_ADDRESS;
  return map_write_coils(word(2), wanted, (uint16_t)(frame[7] | (wanted > 8 ? frame[8] << 8 : 0)));
}

static uint8_t write_registers(void) {
  uint16_t wanted = word(4);
  if (wanted == 0 || wanted > REGISTERS_WRITE_MOST || frame[6] != 2u * wanted) return MAP_EXCEPTION_VALUE;
  if (wanted > MAP_UPLOAD_REGISTERS) return MAP_EXCEPTION_ADDRESS;
  return map_write(word(2), wanted, frame + 7);
}

static char object_char(uint8_t object, uint8_t at) {
  static const char vendor[] = "Leanward";
  static const char revision[] = "1.0";
  if (object == 0) return vendor[at];
  return object == 1 ? hal_board_id(at) : revision[at];
}

static void reply_object(uint8_t object) {
  uint8_t length = 0;
  while (object_char(object, length) != 0) length++;
  reply_byte(object);
  reply_byte(length);
  for (uint8_t at = 0; at < length; at++) reply_byte((uint8_t)object_char(object, at));
}

static uint8_t identify(void) {
  uint8_t code = frame[3];
  uint8_t first = frame[4];
  if (frame[2] != IDENTIFY_MEI) return MAP_EXCEPTION_FUNCTION;
  if (code < 1 || code > 4) return MAP_EXCEPTION_VALUE;
  if (first >= OBJECTS && code == 4) return MAP_EXCEPTION_ADDRESS;
  if (first >= OBJECTS) first = 0;
  uint8_t last = code == 4 ? first : OBJECTS - 1u;
  reply_begin(IDENTIFY);
  reply_byte(IDENTIFY_MEI);
  reply_byte(code);
  reply_byte(CONFORMITY);
  reply_word(0); /* nothing follows */
  reply_byte((uint8_t)(last - first + 1));
  for (uint8_t object = first; object <= last; object++) reply_object(object);
  reply_end();
  return MAP_OK;
}

static uint8_t begin_request(void) {
  switch (frame[1]) {
    case WRITE_COIL: return write_coil();
    case WRITE_COILS: return write_coils();
    case WRITE_REGISTER: return map_write(word(2), 1, frame + 4);
    case WRITE_REGISTERS: return write_registers();
    default: return MAP_EXCEPTION_FUNCTION;
  }
}

static bool answer_read(uint8_t *exception) {
  switch (frame[1]) {
    case READ_COILS: *exception = read_coils(); return true;
    case READ_HOLDINGS: *exception = read_registers(false); return true;
    case READ_INPUTS: *exception = read_registers(true); return true;
    case IDENTIFY: *exception = identify(); return true;
    default: return false;
  }
}

/* ---- frames ---- */

/* Length of the frame that begins so, CRC included; 0: not known yet; 0xFF and more never fit. */
static uint16_t expected_length(uint8_t have) {
  if (have < 2) return 0;
  switch (frame[1]) {
    case READ_COILS:
    case READ_HOLDINGS:
    case READ_INPUTS:
    case WRITE_COIL:
    case WRITE_REGISTER: return 8;
    case WRITE_COILS:
    case WRITE_REGISTERS: return have < 7 ? 0 : (uint16_t)(9u + frame[6]);
    case IDENTIFY: return 7;
    default: return have >= 4 && crc == 0 ? have : 0;
  }
}

static void finish(void) {
  request.working = false;
  count = 0;
  crc = 0xFFFFu;
  taken = false;
}

static void conclude(uint8_t result) {
  if (result == MAP_WAIT) return;
  if (result == MAP_OK) {
    reply_echo();
  } else {
    reply_exception(result);
  }
  finish();
}

static bool is_clock_setting(void) { return frame[1] == WRITE_REGISTERS && word(2) == MAP_HOLDING_CLOCK; }

static void begin_work(void) {
  uint8_t exception;
  taken = true;
  request.working = true;
  request.unit = frame[0];
  request.answers = frame[0] != BROADCAST;
  if (answer_read(&exception)) {
    if (exception != MAP_OK) reply_exception(exception);
    finish();
    return;
  }
  conclude(begin_request());
}

void link_poll(void) {
  if (request.working) {
    conclude(map_go_on());
    return;
  }
  if (!storage_idle()) (void)map_go_on(); /* a mark being cleared without a request */
  uint8_t have = count;
  if (have == 0) return;
  uint16_t length = expected_length(have);
  if (length == 0 || have < length || have > length || crc != 0) return;
  if (frame[0] == settings.unit || (frame[0] == BROADCAST && is_clock_setting())) begin_work();
}

bool link_busy(void) { return request.working || !storage_idle(); }
