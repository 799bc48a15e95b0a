/*
 * faults.h: which faults are present, and their records.
 *
 * Always holds: a fault that comes back within the hour of its last logged
 * leaving is present but not logged.
 */
#ifndef FAULTS_H
#define FAULTS_H

#include <stdbool.h>
#include <stdint.h>

bool fault_present(uint8_t fault);
/* The same without a call, for a constant fault: asked each second. */
#define FAULT_IS_PRESENT(fault) ((kept.fault_present & (1u << ((fault)-1u))) != 0)
/* Enters or leaves `fault`; says so in the log when that is a change worth it. */
void fault_set(uint8_t fault, bool present, uint32_t detail);
struct record;
/* The type byte of a record with the estimated flag as it is now. */
uint8_t record_type(uint8_t type);
/* Begins an event's record: type, flags, the second last processed. */
void record_event(struct record *record, uint8_t type);

#endif
