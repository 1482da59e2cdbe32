/** Every cause that can be named. Each has a detector, a title and a concept card; ids never change their meaning. */
export const causeIds = [
  // Keying
  ...['mistyped-digit', 'neighbours-swapped', 'byte-missing', 'byte-extra', 'decimal-and-hex', 'bytes-in-wrong-order'],
  // Jumps
  ...['displacement-off', 'displacement-from-opcode', 'displacement-sign', 'jump-for-call', 'condition-flipped'],
  ...['equal-case', 'signed-for-unsigned'],
  // Flags
  ...['flag-clobbered', 'pair-sets-no-flag', 'flag-not-set', 'carry-lost', 'carry-not-cleared'],
  ...['decimal-adjust-missing'],
  // Registers and stack
  ...['zero-test-spoils-a', 'register-destroyed-by-call', 'register-not-kept', 'stack-imbalance', 'stack-unset'],
  ...['stack-too-deep', 'not-initialised', 'wrong-register'],
  // Loops
  ...['counter-reloaded', 'counter-not-reloaded', 'pointer-not-reset', 'count-zero', 'count-off-by-one'],
  ...['counted-from-one', 'endless-loop', 'limit-not-tested', 'pause-missing'],
  // Addresses and memory
  ...['value-and-contents', 'address-off-by-one', 'source-and-target-swapped', 'copy-direction'],
  ...['overwritten-before-read', 'word-for-byte', 'result-not-stored', 'stray-write', 'writes-own-code', 'wrong-data'],
  ...['not-movable'],
  // The end
  ...['no-end', 'wrong-end', 'left-program'],
  // Time, ports, interrupts
  ...['time-constant', 'jump-time', 'waves-for-edges', 'uneven-halves', 'output-left-on', 'ghosting'],
  ...['sweep-too-slow', 'wrong-port', 'ei-missing', 'handler-not-installed', 'handler-too-long'],
  ...['bounce-counted', 'held-key-counted'],
  // The task
  ...['forbidden-used', 'instruction-missing', 'routine-not-called', 'fits-sheet-only', 'too-slow', 'too-big'],
  // What is left when nothing above says more
  ...['steps-in-wrong-order', 'wrong-operand', 'wrong-instruction', 'instruction-left-out'],
] as const

export type CauseId = (typeof causeIds)[number]
