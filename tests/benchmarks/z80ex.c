/* libz80ex on one of our workloads: z80ex IMAGE TIMES. IMAGE holds all 65,536 bytes. Prints what the other cores print. It
   has less to do than ours: no byte is asked whether it may be written or executed, and time has no limit. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <z80ex/z80ex.h>

static uint8_t image[65536], memory[65536];
static uint64_t now, last;
static uint32_t outs;

static uint32_t fnv(uint32_t hash, uint32_t byte) { return (hash ^ (byte & 0xff)) * 0x01000193u; }
static Z80EX_BYTE mread(Z80EX_CONTEXT *c, Z80EX_WORD at, int m1, void *u) { return memory[at]; }
static void mwrite(Z80EX_CONTEXT *c, Z80EX_WORD at, Z80EX_BYTE value, void *u) { memory[at] = value; }
static Z80EX_BYTE pread(Z80EX_CONTEXT *c, Z80EX_WORD port, void *u) { return 0xff; }
static Z80EX_BYTE vector(Z80EX_CONTEXT *c, void *u) { return 0xff; }
static void pwrite(Z80EX_CONTEXT *c, Z80EX_WORD port, Z80EX_BYTE value, void *u) {
  uint64_t t = now + z80ex_op_tstate(c);
  uint32_t between = last ? (uint32_t)(t - last) : 0;
  outs = fnv(fnv(fnv(fnv(fnv(outs, port), value), between), between >> 8), between >> 16);
  last = t;
}

int main(int count, char **arguments) {
  FILE *file = count == 3 ? fopen(arguments[1], "rb") : NULL;
  if (!file || fread(image, 1, 65536, file) != 65536) return 2;
  double best = 1e9;
  uint32_t hash = 0;
  for (int times = atoi(arguments[2]); times > 0; times--) {
    struct timespec from, to;
    Z80EX_CONTEXT *cpu = z80ex_create(mread, NULL, mwrite, NULL, pread, NULL, pwrite, NULL, vector, NULL);
    memcpy(memory, image, 65536);
    now = last = 0;
    outs = 0x811c9dc5u;
    z80ex_set_reg(cpu, regPC, 0x100);
    clock_gettime(CLOCK_MONOTONIC, &from);
    while (!z80ex_doing_halt(cpu)) now += z80ex_step(cpu);
    clock_gettime(CLOCK_MONOTONIC, &to);
    double ms = (to.tv_sec - from.tv_sec) * 1e3 + (to.tv_nsec - from.tv_nsec) / 1e6;
    if (ms < best) best = ms;
    z80ex_destroy(cpu);
  }
  hash = 0x811c9dc5u;
  for (int at = 0; at < 65536; at++) hash = fnv(hash, memory[at]);
  printf("{\"tStates\":%llu,\"memory\":%u,\"outs\":%u,\"ms\":%f}\n", (unsigned long long)now, hash, outs, best);
  return 0;
}
