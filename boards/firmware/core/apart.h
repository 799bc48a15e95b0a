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

#endif
