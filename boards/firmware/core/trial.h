/*
 * trial.h: which table runs: the confirmed one, or one on trial.
 *
 * Always holds: a trial ends by itself; only a written confirm mark makes a
 * table outlive a restart that loses power.
 */
#ifndef TRIAL_H
#define TRIAL_H

#include <stdbool.h>
#include <stdint.h>

/* Chooses the table that runs at a start, before anything is logged. `keep_trial`: the retained trial goes on. */
void trial_start(bool keep_trial);
/* Logs what the choice found: reverted and confirmed tables. */
void trial_log_start(void);
/* Enters or leaves the faults that tables can have. */
void trial_tell_faults(void);

bool trial_running(void);
/* The slot an upload goes to. */
uint8_t trial_free_slot(void);
/* The seal of `slot` was cleared. */
void trial_cleared(uint8_t slot);
/* The upload in `slot` is sealed: its table runs for 120 s. */
void trial_commit(uint8_t slot);
/* The confirm mark is written. */
void trial_confirm(void);
/* Ends the trial when its time is up; at the second being processed. */
void trial_end(void);
/* Gives the trial up on request; false while storage is at work. */
bool trial_give_up(void);
/* The trial's end moves with a large step. */
void trial_shift(uint32_t step);
uint16_t trial_left(void);

#endif
