/*
 * faults.h: which faults are present, and their records.
 *
 * Always holds: a fault that comes back within the hour of its last logged
 * leaving is present but not logged; a leaving's record tells since when.
 */
#ifndef FAULTS_H
#define FAULTS_H

#include <stdbool.h>
#include <stdint.h>

#define FAULT_BIT(fault) (1u << ((fault)-1u))
/* Whether a constant fault is present, without a call: asked each second. */
#define FAULT_IS_PRESENT(fault) ((kept.fault_present & FAULT_BIT(fault)) != 0)
/* Enters or leaves `fault`; says so in the log when that is a change worth it. `detail`: of entering. */
void fault_set(uint8_t fault, bool present, int16_t detail);

#endif
