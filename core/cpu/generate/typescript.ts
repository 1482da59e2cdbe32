import { attribute } from '../cpu.ts'
import { lowBits, type Expression, type Statement } from '../effect.ts'
import { definitions } from '../instruction-set.ts'
import { always, layout, registerAt, tableAt } from '../layout.ts'
import { registerBits } from '../effect.ts'
import { acceptance } from '../table-control.ts'
import { isIgnoredPrefix, opcodeOf, pageOf } from './pages.ts'
import { allStatements, condition, shapeOf, type Shape } from './shape.ts'

// `m`, `w` and `v` are the machine's block as bytes, words and 32-bit numbers.
const byte = (address: number) => `m[${address}]`
const word = (address: number) => `w[${address >> 1}]`
const long = (address: number) => `v[${address >> 2}]`

const atEnd = { holdInterrupts: layout.holdAt, interruptFlagRead: layout.interruptFlagAt } as const

/** Writes the body of one instruction. `pc` and `t` are those of its start until its last lines. */
class Writer {
  readonly #shape: Shape
  readonly #lines: string[] = []
  #temporary = 0

  constructor(shape: Shape) {
    this.#shape = shape
  }

  instruction(): string {
    const { operands, usesPc, length, tStates, setsFlags, steps } = this.#shape
    for (const { name, offset } of operands) {
      const at = (more: number) => `m[pc + ${offset + more}]`
      if (name === 'nn') this.#add(`const nn = ${at(0)} | ${at(1)} << 8`)
      else this.#add(`const ${name} = ${at(0)}${name === 'n' ? '' : ' << 24 >> 24'}`)
    }
    if (usesPc && length > 0) this.#add(`pc = pc + ${length} & 65535`)
    this.#body(steps)
    if (!usesPc && length > 0) this.#add(`pc = pc + ${length} & 65535`)
    this.#add(`t += ${tStates}`)
    if (setsFlags) this.#add(`${long(layout.flagsAt)} = t`)
    for (const step of allStatements(steps)) {
      if (step.kind === 'holdInterrupts' || step.kind === 'interruptFlagRead') {
        this.#add(`${long(atEnd[step.kind])} = t`)
      }
    }
    return this.#lines.join('; ')
  }

  #add(line: string) {
    this.#lines.push(line)
  }

  #body(steps: readonly Statement[]) {
    for (const step of steps) this.#step(step)
  }

  #step(step: Statement) {
    switch (step.kind) {
      case 'let':
        this.#add(`const ${step.local} = ${text(step.value)}`)
        break
      case 'set':
        this.#set(step)
        break
      case 'read':
        this.#add(`const ${step.local} = m[${text(step.address)}]`)
        break
      case 'input':
        this.#add(this.#caller())
        this.#add(`const ${step.local} = host.input(${text(step.address)}, ${this.#time(step)})`)
        this.#add(`attendFrom = ${long(layout.attendFrom)}`)
        break
      case 'output':
        this.#add(this.#caller())
        this.#add(`host.output(${text(step.address)}, ${text(step.value)}, ${this.#time(step)})`)
        this.#add(`attendFrom = ${long(layout.attendFrom)}`)
        break
      case 'write': {
        const address = this.#named(step.address)
        const value = text(step.value)
        const marked = `${this.#caller()}; host.markedWrite(${address}, ${value}, ${this.#time(step)}); attendFrom = ${long(layout.attendFrom)}`
        const plain = `m[${address}] = ${value}; m[${layout.dirty} + (${address} >> 8)] = 1`
        this.#add(
          `if ((m[${layout.attributes} + ${address}] & ${~attribute.stopAt} | m[${layout.tracing}]) !== 0) { ${marked} } else { ${plain} }`,
        )
        break
      }
      case 'halt':
        this.#add(`${byte(layout.halted)} = 1`)
        this.#add(`attendFrom = ${long(layout.attendFrom)} = ${always}`)
        break
      case 'if':
      case 'when': {
        this.#add(`if (${text(condition(step.condition))}) {`)
        this.#body(step.body)
        if (step.kind === 'when') this.#add(`t += ${this.#shape.tStatesMore}`)
        this.#add('}')
        break
      }
      case 'idle':
      case 'holdInterrupts':
      case 'interruptFlagRead':
        break
    }
  }

  #set({ register, value }: Statement & { kind: 'set' }) {
    switch (register) {
      case 'PC':
        this.#add(`pc = ${text(lowBits(value, 16))}`)
        break
      case 'R': {
        const r = this.#named(value)
        this.#add(`${byte(layout.r7)} = ${r} & 128`)
        this.#add(`${long(layout.rBase)} = ${r} - counts`)
        break
      }
      case 'Q':
        throw new Error('Q cannot be set')
      default:
        this.#add(
          `${registerBits[register] === 16 ? word(registerAt[register]) : byte(registerAt[register])} = ${text(value)}`,
        )
    }
    if (register === 'IFF1') {
      this.#add(`if (${long(layout.interruptLine)} !== 0) attendFrom = ${long(layout.attendFrom)} = ${always}`)
    }
  }

  #named(expression: Expression): string {
    if (expression.kind !== 'binary' && expression.kind !== 'choose') return text(expression)
    this.#temporary += 1
    this.#add(`const x${this.#temporary}_ = ${text(expression)}`)
    return `x${this.#temporary}_`
  }

  #start(): string {
    return this.#shape.usesPc && this.#shape.length > 0 ? `pc - ${this.#shape.length} & 65535` : 'pc'
  }

  #caller(): string {
    return `${long(layout.callerPc)} = ${this.#start()}; ${long(layout.callerT)} = t`
  }

  #time(step: Statement): string {
    return `t + ${this.#shape.strobeAt.get(step) ?? 0}`
  }
}

function text(expression: Expression): string {
  switch (expression.kind) {
    case 'number':
      return String(expression.value)
    case 'local':
      return expression.name
    case 'operand':
      return expression.name === 'bus' ? long(layout.busByte) : expression.name
    case 'register':
      switch (expression.name) {
        case 'PC':
          return 'pc'
        case 'R':
          return `(${byte(layout.r7)} | counts + ${long(layout.rBase)} & 127)`
        case 'Q':
          return `(${long(layout.flagsAt)} === t ? ${byte(registerAt.F)} : 0)`
        default: {
          const address = registerAt[expression.name]
          return registerBits[expression.name] === 16 ? word(address) : byte(address)
        }
      }
    case 'not':
      return `(${text(condition(expression.of))} === 0 ? 1 : 0)`
    case 'flags':
      return `m[${tableAt[expression.table]} + ${text(expression.index)}]`
    case 'choose':
      return `(${text(condition(expression.condition))} ? ${text(expression.then)} : ${text(expression.otherwise)})`
    case 'binary': {
      const sides = [text(expression.left), text(expression.right)] as const
      switch (expression.operator) {
        case '==':
          return `(${sides.join(' === ')} ? 1 : 0)`
        case '!=':
          return `(${sides.join(' !== ')} ? 1 : 0)`
        case '<':
        case '>':
          return `(${sides.join(` ${expression.operator} `)} ? 1 : 0)`
        default:
          return `(${sides.join(` ${expression.operator} `)})`
      }
    }
  }
}

const bodyOf = (line: Parameters<typeof shapeOf>[0]) => new Writer(shapeOf(line)).instruction()

function cases(page: string, isWanted = (_opcode: number) => true): string {
  return definitions
    .filter((each) => pageOf(each) === page && !isIgnoredPrefix(each) && isWanted(opcodeOf(each)))
    .map((each) => `case ${opcodeOf(each)}: { ${bodyOf(each)}; break } // ${each.text}`)
    .join('\n')
}

const parameters = 'm: Uint8Array, w: Uint16Array, v: Int32Array, host: Host'
const leave = `${word(layout.pc)} = pc; ${long(layout.t)} = t; ${long(layout.counts)} = counts; ${long(layout.attendFrom)} = attendFrom`
const call = (page: string, counts = 'counts + 1') =>
  `page_${page}(m, w, v, host, pc, t, ${counts}); pc = ${word(layout.pc)}; t = ${long(layout.t)}; counts = ${long(layout.counts)}; attendFrom = ${long(layout.attendFrom)}`

function pageFunction(name: string, opcode: string, lines: string): string {
  return `function page_${name}(${parameters}, pc: number, t: number, counts: number) {
let attendFrom = ${long(layout.attendFrom)}
switch (${opcode}) {
${lines}
}
${leave}
}`
}

/** In two functions, since V8 optimises none of more than 60 KB of bytecode. */
function indexedPage(page: 'ddcb' | 'fdcb'): string {
  const low = pageFunction(
    `${page}_low`,
    'm[pc + 3]',
    cases(page, (opcode) => opcode < 0x80),
  )
  const high = pageFunction(
    `${page}_high`,
    'm[pc + 3]',
    cases(page, (opcode) => opcode >= 0x80),
  )
  return `${low}\n\n${high}`
}

const callIndexed = (page: 'dd' | 'fd') =>
  `if (m[pc + 1] !== 0xcb) { ${call(page)} } else if (m[pc + 3] < 128) { ${call(`${page}cb_low`)} } else { ${call(`${page}cb_high`)} } break`

/**
 * A prefix without effect: the next fetch is the same instruction's, so it is not counted, and nothing comes between. Q
 * outlives it, as in SingleStepTests (disputed: a CPU that takes the prefix for an instruction of its own would clear Q).
 */
const skipPrefix = [
  `default: if (${long(layout.prefixAt)} !== t) ${long(layout.prefixPc)} = pc`,
  `if (${long(layout.flagsAt)} === t) ${long(layout.flagsAt)} = t + 4`,
  `pc = pc + 1 & 65535; t += 4; counts -= 65537; ${long(layout.prefixAt)} = t; ${long(layout.prefixCounts)} = counts`,
].join('; ')

/** The interpreter as the text of a TypeScript module. */
export function typescriptInterpreter(): string {
  const accept = Object.entries(acceptance).map(([kind, { cycles, effect }]) => {
    const line = { encoding: [], machineCycles: cycles.split(' ').map(Number), effect }
    return `case '${kind}': { ${bodyOf(line)}; break }`
  })
  return `// @ts-nocheck
// Made from the instruction table by core/cpu/generate/typescript.ts; never edited by hand.
import type { Acceptance, Host } from '../engine.ts'
import { attend } from '../attend.ts'

export function run(${parameters}): number {
let pc = ${word(layout.pc)}, t = 0, counts = 0, attendFrom = ${long(layout.attendFrom)}, last = ${long(layout.lastPc)}
for (;;) {
if (t >= attendFrom || (m[${layout.attributes} + pc] & ${attribute.stopAt}) !== 0) {
const reason = attend(m, w, v, pc, t, counts)
attendFrom = ${long(layout.attendFrom)}
if (reason !== 0) { ${long(layout.lastPc)} = last; ${leave}; return reason }
}
last = pc
counts += 65537
switch (m[pc]) {
${cases('')}
case 0xcb: ${call('cb')}; break
case 0xed: ${call('ed')}; break
case 0xdd: ${callIndexed('dd')}
case 0xfd: ${callIndexed('fd')}
}
}
}

${pageFunction('cb', 'm[pc + 1]', cases('cb'))}

${pageFunction('ed', 'm[pc + 1]', cases('ed'))}

${pageFunction('dd', 'm[pc + 1]', `${cases('dd')}\n${skipPrefix}`)}

${pageFunction('fd', 'm[pc + 1]', `${cases('fd')}\n${skipPrefix}`)}

${indexedPage('ddcb')}

${indexedPage('fdcb')}

export function accept(${parameters}, kind: Acceptance) {
let pc = ${word(layout.pc)}, t = 0, counts = 65537, attendFrom = ${long(layout.attendFrom)}
switch (kind) {
${accept.join('\n')}
}
${leave}
}
`
}
