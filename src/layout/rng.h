/* src/layout/rng.h: random numbers that are the same on every machine.
 *
 * SplitMix64 (Steele, Lea, Flood: "Fast splittable pseudorandom number generators",
 * OOPSLA 2014) seeds and drives everything: one multiply-and-mix a number.
 */
#ifndef SWI_RNG_H
#define SWI_RNG_H

#include <stdint.h>

typedef struct swi_rng { uint64_t state; } swi_rng;

static inline uint64_t swi_random(swi_rng *rng) {
    uint64_t z = rng->state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

/* 0 … n − 1; n > 0. */
static inline int swi_below(swi_rng *rng, int n) {
    return (int)((swi_random(rng) >> 32) * (uint64_t)n >> 32);
}

#endif
