#include "link.h"

#include "../generated/contract.h"
#include "../hal.h"
#include "apart.h"
#include "crc.h"
#include "map.h"
#include "reading.h"
#include "storage.h"
#include "wire.h"

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
#define OBJECTS 3u
#define CONFORMITY 0x81u
#define SMALLEST_FRAME 4u

/* What a request's function answers when its reply needs nothing but the end. */
#define SENT 0xFEu

/* Filled by link_receive until a request is taken; then the beginning of its reply. */
static uint8_t frame[LINK_BYTES];
static volatile uint8_t count;
static volatile bool taken; /* a request is in work */
static volatile uint16_t crc; /* over what came */

APART static void listen(void) {
  count = 0;
  crc = 0xFFFFu;
  taken = false;
}

void link_start(void) {
  listen();
  map_start();
}

void link_receive(uint8_t byte, uint8_t silence) {
  if (taken) return;
  /* Frames of others follow one another closely; one for this unit may pause, unless it is longer than any kept. */
  bool own = frame[0] == settings.unit && count <= LINK_BYTES;
  if (silence == MAP_SILENCE_LONG || (silence == MAP_SILENCE_FRAME && !own)) listen();
  if (count == 0xFFu) return;
  if (count < LINK_BYTES) frame[count] = byte;
  count++;
  crc = crc16_step(crc, byte);
}

/* ---- replies ---- */

/* Begins the reply with the frame's first bytes. */
APART static void reply_frame(uint8_t size) { wire_begin(frame, size); }

/* ---- requests: each gives SENT, MAP_OK for an echo, an exception, or MAP_WAIT ---- */

static uint8_t read_coils(uint16_t address, uint16_t wanted) {
  uint16_t bits;
  uint8_t exception = map_read_coils(address, wanted, &bits);
  if (exception != MAP_OK) return exception;
  frame[2] = wanted > 8 ? 2 : 1;
  frame[3] = (uint8_t)bits;
  frame[4] = (uint8_t)(bits >> 8);
  reply_frame((uint8_t)(3u + frame[2]));
  return SENT;
}

static uint8_t read_registers(uint16_t address, uint8_t wanted) {
  bool inputs = frame[1] == READ_INPUTS;
  uint8_t exception = reading_check(inputs, address, wanted);
  if (exception != MAP_OK) return exception;
  frame[2] = (uint8_t)(2u * wanted);
  reply_frame(3);
  reading_send(inputs, address, wanted);
  return SENT;
}

/* Its value is 0xFF00 or 0. */
static uint8_t write_coil(uint16_t address) {
  uint8_t value = frame[4];
  return map_write_coils(address, 1, value, (uint8_t)(value + 1u) <= 1 && frame[5] == 0);
}

/* No whole frame is so long that its byte count would pass the function's limit. */
static uint8_t write_coils(uint16_t address, uint16_t wanted) {
  if (frame[6] != (wanted + 7u) / 8u) return MAP_EXCEPTION_VALUE;
  return map_write_coils(address, wanted, (uint16_t)((frame[8] << 8) | frame[7]), true);
}

static uint8_t write_registers(uint16_t address, uint8_t wanted) {
  if (frame[6] != (uint8_t)(2u * wanted)) return MAP_EXCEPTION_VALUE;
  if (wanted > MAP_UPLOAD_REGISTERS) return MAP_EXCEPTION_ADDRESS;
  return map_write(address, wanted, frame + 7);
}

static char object_char(uint8_t object, uint8_t at) {
  static const char texts[] = "Leanward\000" MAP_FIRMWARE_REVISION;
  return object == 1 ? hal_board_id(at) : texts[object == 0 ? at : at + sizeof "Leanward"];
}

static void reply_object(uint8_t object) {
  uint8_t *text = frame + 10;
  uint8_t length = 0;
  while ((text[length] = (uint8_t)object_char(object, length)) != 0) length++;
  frame[8] = object;
  frame[9] = length;
  wire_bytes(frame + 8, (uint8_t)(length + 2u));
}

static uint8_t identify(void) {
  uint8_t code = frame[3];
  uint8_t object = frame[4];
  uint8_t last = OBJECTS - 1u;
  if (frame[2] != IDENTIFY_MEI) return MAP_EXCEPTION_FUNCTION;
  if (code < 1 || code > 4) return MAP_EXCEPTION_VALUE;
  if (object > last && code == 4) return MAP_EXCEPTION_ADDRESS;
  if (object > last) object = 0;
  if (code == 4) last = object;
  frame[4] = CONFORMITY;
  frame[5] = frame[6] = 0; /* nothing follows */
  frame[7] = (uint8_t)(last - object + 1);
  reply_frame(8);
  for (; object <= last; object++) reply_object(object);
  return SENT;
}

static uint8_t perform(uint16_t address, uint16_t number) {
  uint8_t function = frame[1];
  switch (function) {
    case READ_COILS:
    case WRITE_COILS:
      if ((uint16_t)(number - 1u) >= COILS_MOST) return MAP_EXCEPTION_VALUE;
      return function == READ_COILS ? read_coils(address, number) : write_coils(address, number);
    case READ_HOLDINGS:
    case READ_INPUTS:
    case WRITE_REGISTERS:
      if ((uint16_t)(number - 1u) >= MAP_MAX_READ_REGISTERS) return MAP_EXCEPTION_VALUE;
      if (function == WRITE_REGISTERS) return write_registers(address, (uint8_t)number);
      return read_registers(address, (uint8_t)number);
    case WRITE_COIL: return write_coil(address);
    case WRITE_REGISTER: return map_write(address, 1, frame + 4);
    case IDENTIFY: return identify();
    default: return MAP_EXCEPTION_FUNCTION;
  }
}

/* ---- frames ---- */

static void conclude(uint8_t result) {
  if (result == MAP_WAIT) return;
  if (frame[0] != BROADCAST) {
    if (result == MAP_OK) {
      reply_frame(6); /* the reply to every write: address and value or count as they came */
    } else if (result != SENT) {
      frame[1] |= EXCEPTION_BIT;
      frame[2] = result;
      reply_frame(3);
    }
    wire_end();
  }
  listen();
}

/* Length of a frame that begins so, CRC included, `have` bytes of which are a frame of their own; 0: too long. */
static uint8_t expected_length(uint8_t have) {
  switch (frame[1]) {
    case READ_COILS:
    case READ_HOLDINGS:
    case READ_INPUTS:
    case WRITE_COIL:
    case WRITE_REGISTER: return 8;
    case WRITE_COILS:
    case WRITE_REGISTERS: return frame[6] <= 0xFFu - 9u ? (uint8_t)(9u + frame[6]) : 0;
    case IDENTIFY: return 7;
    default: return have;
  }
}

static void take_frame(void) {
  uint8_t have = count;
  if (have < SMALLEST_FRAME || crc != 0 || expected_length(have) != have) return;
  uint16_t address = wire_register(frame + 2);
  if (frame[0] != settings.unit) {
    bool all = frame[0] == BROADCAST && frame[1] == WRITE_REGISTERS && address == MAP_HOLDING_CLOCK;
    if (!all) return;
  }
  taken = true;
  conclude(perform(address, wire_register(frame + 4)));
}

APART void link_poll(void) {
  uint8_t result = storage_idle() && !taken ? MAP_WAIT : map_go_on(); /* or a mark being cleared without a request */
  if (taken) {
    conclude(result);
  } else {
    take_frame();
  }
}

bool link_busy(void) { return taken || !storage_idle(); }
