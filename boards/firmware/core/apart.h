/*
 * apart.h: what the compiler is told about single functions.
 */
#ifndef APART_H
#define APART_H

/* APART marks a function that stays one: it would be copied into each of its callers. */
#ifdef __GNUC__
#define APART __attribute__((noinline))
#else
#define APART
#endif

/* QUICK marks what runs every second: the tool that folds repeated code leaves it alone. */
#ifdef __AVR__
#define QUICK __attribute__((section(".text.quick")))
#else
#define QUICK
#endif

#endif
