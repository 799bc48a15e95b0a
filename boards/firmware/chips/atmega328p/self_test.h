/*
 * self_test.h: what the chip can find out about itself. In the spirit of the
 * self-tests that appliance standards list; no compliance is claimed.
 */
#ifndef SELF_TEST_H
#define SELF_TEST_H

/* Sets up the stack's guard; after the memory march that runs before main. */
void self_test_start(void);

#endif
