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
/* The slot an upload goes to: the one that does not run. */
uint8_t trial_free_slot(void);
/* The seal of the free slot was cleared. */
void trial_cleared(void);
/* The upload in the free slot is sealed: its table runs for 120 s. */
void trial_commit(void);
/* The confirm mark is written. */
void trial_confirm(void);
/* A second more is being processed: ends the trial when its time is up. */
void trial_end(void);
/* Gives the trial up on request; only while storage is idle. */
void trial_give_up(void);
/* The second processed next is the last one again, by another time. */
void trial_repeat(void);
/* Seconds left of the trial; 0 without one. */
uint8_t trial_left(void);

#endif
