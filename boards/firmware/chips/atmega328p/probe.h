/*
 * probe.h: reads the probe once it has measured, so that the full minute, which
 * has more to do, need not.
 */
#ifndef PROBE_H
#define PROBE_H

/* Fetches a measurement that is ready. */
void probe_poll(void);

#endif
