// LEEWARD_CLONES: one function, built for several instruction sets, chosen at load time (GNU
// ifunc). With -ffp-contract=off all clones give the same bits. Empty under the thread sanitizer,
// which cannot start a program that has ifuncs.
#pragma once

#if defined(__x86_64__) && defined(__GNUC__) && !defined(__clang__) && !defined(LEEWARD_NO_CLONES)
#define LEEWARD_CLONES __attribute__((target_clones("avx512f", "avx2", "default")))
#else
#define LEEWARD_CLONES
#endif
