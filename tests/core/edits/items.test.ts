import { describe, expect, test } from 'vitest'
import { assemble, readProgram, type Program, type ReadOptions } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { Editable } from '../../../core/edits/editable.ts'
import { changesOf } from '../../../core/edits/operand-changes.ts'
import { modelProgram, readOptionsFor } from '../../../core/exercise/index.ts'
import type { Image } from '../../../core/image/index.ts'
import { exerciseOf, folders } from '../exercise/tram-depot.ts'

const options = { origin: 0x4000, symbols: { PAINT: 0x40 } }

function editable(program: Program, how: ReadOptions): Editable {
  const made = Editable.of(program, how)
  if (made === null) throw new Error('it cannot be spliced')
  return made
}

function bytesOf(image: Image | null | undefined): string | undefined {
  if (image === null || image === undefined) return undefined
  return image.segments.map(({ start, bytes }) => `${start.toString(16)}: ${Buffer.from(bytes).toString('hex')}`).join()
}

/** What the assembler makes of the text with one of its lines otherwise. */
function assembledWith({ source }: Editable, line: number, text: string, how: ReadOptions): string | undefined {
  const lines = source.lines.with(line - 1, text)
  const { isOk, image } = readProgram(
    { format: 'assembly', text: lines.join('\n') },
    { origin: how.origin, symbols: how.symbols ?? {} },
  )
  return isOk ? bytesOf(image) : undefined
}

describe('splicing items gives what the assembler gives', () => {
  test.for(folders)('for every change of one instruction of the model answer of %s', { timeout: 60_000 }, (folder) => {
    const exercise = exerciseOf(folder)
    const model = modelProgram(exercise, benchEight)
    if (model === null) throw new Error('there is no model answer')
    const how = readOptionsFor(exercise, benchEight)
    const edit = editable(model, how)
    const differing: string[] = []
    let compared = 0
    for (const [i, instruction] of edit.instructions.entries()) {
      const label = instruction.label === null ? '' : `${instruction.label}:`
      const all = [...changesOf(instruction)]
      // Each third is enough to meet every kind at every sort of place.
      for (const { kind, wouldBe } of all.filter((_, k) => (i + k) % 3 === 0)) {
        const spliced = bytesOf(edit.changed(i, kind, wouldBe)?.image)
        const assembled = assembledWith(edit, instruction.line, `${label} ${wouldBe ?? ''}`, how)
        compared += 1
        if (spliced !== assembled) differing.push(`${edit.textAt(i)} -> ${wouldBe}: ${spliced} for ${assembled}`)
      }
    }
    expect(compared).toBeGreaterThan(1)
    expect(differing).toEqual([])
  })
})

describe('an instruction put in', () => {
  const text = 'START: LD B,3\nLOOP: INC A\n DJNZ LOOP\n LD HL,TABLE\n JP LOOP\nTABLE: DEFW LOOP,4600h\n DEFB 1\n'
  const program = assemble(text, options)
  const edit = editable(program, options)
  const same = (source: string): string | undefined => bytesOf(assemble(source, options).image)

  test('behind a label is jumped to', () => {
    expect(bytesOf(edit.inserted(1, 'OR A', 'inside')?.image)).toBe(same(text.replace('INC A', 'OR A\n INC A')))
  })
  test('before a label is passed by', () => {
    expect(bytesOf(edit.inserted(1, 'OR A', 'before')?.image)).toBe(same(text.replace('LOOP: INC', ' OR A\nLOOP: INC')))
  })
  test('behind the last instruction moves the data and what points to them', () => {
    expect(bytesOf(edit.inserted(4, 'HALT', 'after')?.image)).toBe(same(text.replace('JP LOOP\n', 'JP LOOP\n HALT\n')))
  })
  test('may name labels and the firmware', () => {
    expect(bytesOf(edit.inserted(0, 'CALL PAINT', 'inside')?.image)).toBe(
      same(text.replace('LD B', 'CALL PAINT\n LD B')),
    )
    expect(bytesOf(edit.inserted(3, 'JR NZ,START', 'inside')?.image)).toBe(
      same(text.replace('LD HL', 'JR NZ,START\n LD HL')),
    )
  })
  test('is refused where it does not assemble or a displacement no longer reaches', () => {
    expect(edit.inserted(0, 'LD Q,1', 'inside')).toBeNull()
    const far = editable(assemble(`S: NOP\n${' DEFS 125\n'} DJNZ S\n HALT\n`, options), options)
    expect(far.inserted(0, 'NOP', 'after')).toBeNull()
  })
})

test('stretches keep their places, and a stretch that would run into the next one is refused', () => {
  const two = editable(assemble(' ORG 4000h\n NOP\n HALT\n ORG 4003h\n RET\n ORG 4010h\n DEFB 5\n', options), options)
  expect(bytesOf(two.inserted(0, 'NOP', 'after')?.image)).toBe('4000: 000076c9,4010: 05')
  expect(two.inserted(0, 'LD B,1', 'after')).toBeNull()
})

test('a macro is no text to splice: its disassembly is', () => {
  const macro = assemble('TWICE: MACRO\n INC A\n INC A\n ENDM\n TWICE\n HALT\n', options)
  expect(editable(macro, options).instructions.map(({ mnemonic }) => mnemonic)).toEqual(['INC', 'INC', 'HALT'])
})
