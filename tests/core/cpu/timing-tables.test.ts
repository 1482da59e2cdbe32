import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { describe, expect, test } from 'vitest'
import { decode, instructionSet, type Instruction } from '../../../core/cpu/index.ts'

// Source: z80-timing.csv and z80-timing-undocumented.csv (the manual UM0080's tables from memory, compared with four
// independent lists; see the README beside them).
const rowsOf = (name: string) =>
  parse(readFileSync(new URL(`../../fixtures/reference/${name}.csv`, import.meta.url)), {
    columns: true,
  }) as Record<string, string>[]

const hex = (byte: number | string) =>
  typeof byte === 'number' ? byte.toString(16).toUpperCase().padStart(2, '0') : byte
const encodingOf = (instruction: Instruction) => instruction.encoding.map(hex).join(' ')
const sum = (numbers: readonly number[]) => numbers.reduce((all, each) => all + each, 0)

/** An instruction as the tables write it. */
const rowOf = (instruction: Instruction) => ({
  mnemonic: instruction.text,
  encoding: encodingOf(instruction),
  bytes: String(instruction.encoding.length),
  breakdown: instruction.machineCycles.join('+'),
  t_states: String(sum(instruction.machineCycles)),
  breakdown_not_taken: instruction.machineCyclesNotTaken?.join('+') ?? '',
  t_states_not_taken: instruction.machineCyclesNotTaken ? String(sum(instruction.machineCyclesNotTaken)) : '',
})

describe.each([
  ['z80-timing', true, 698],
  ['z80-timing-undocumented', false, 1082],
] as const)('%s', (name, isDocumented, count) => {
  const rows = rowsOf(name)
  const byEncoding = new Map(
    instructionSet.filter((each) => each.isDocumented === isDocumented).map((each) => [encodingOf(each), each]),
  )

  test('has one row for each instruction', () => {
    expect(rows.length).toBe(count)
    expect([...byEncoding.keys()].sort()).toEqual(rows.map((row) => row['encoding']).sort())
  })

  test('gives each its spelling, bytes and machine cycles', () => {
    for (const row of rows) {
      const instruction = byEncoding.get(row['encoding'] ?? '')
      expect(instruction && rowOf(instruction)).toMatchObject(
        Object.fromEntries(Object.keys(rowOf(instruction as Instruction)).map((key) => [key, row[key]])),
      )
    }
  })
})

describe('the instruction set', () => {
  test('has one encoding without the alias mark for each spelling', () => {
    const plain = instructionSet.filter((each) => !each.isAlias).map((each) => each.text)
    expect(plain.length).toBe(new Set(plain).size)
    expect(new Set(plain)).toEqual(new Set(instructionSet.map((each) => each.text)))
  })

  test('is found again by decode, whatever the operand bytes', () => {
    for (const instruction of instructionSet) {
      for (const operand of [0x00, 0xdd, 0xff]) {
        const bytes = instruction.encoding.map((byte) => (typeof byte === 'number' ? byte : operand))
        expect(decode((at) => bytes[at - 0x4000] ?? 0, 0x4000)).toEqual({ instruction, bytes })
      }
    }
  })

  test('decode takes a prefix before a prefix for itself and wraps at the end of memory', () => {
    const chain = [0xdd, 0xfd, 0x21, 0x34, 0x12]
    expect(decode((at) => chain[at] ?? 0, 0)).toMatchObject({ bytes: [0xdd], instruction: { encoding: [0xdd] } })
    expect(decode((at) => chain[at] ?? 0, 1).instruction.text).toBe('LD IY,nn')
    expect(decode((at) => (at === 0xffff ? 0x3e : 0x99), 0xffff).bytes).toEqual([0x3e, 0x99])
  })
})
