import { showByte, showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import { atText, edited, poked, type Edit, type Poke } from './signs.ts'
import type { Scene } from './scene.ts'
import type { Site } from './sites.ts'

/** Relative jumps whose displacement was worked out by hand. */
function handMade(scene: Scene): readonly Site[] {
  return scene.sites.filter(({ operand, isNamed }) => operand === 'e' && !isNamed)
}

function displaced(scene: Scene, differences: readonly number[], weight: number, why: string): readonly Poke[] {
  return handMade(scene).flatMap((site) =>
    differences.map((difference): Poke => displacement(site, site.value + difference, weight, why)),
  )
}

function displacement(site: Site, wanted: number, weight: number, why: string): Poke {
  const target = (value: number): number => (site.address + 2 + ((value ^ 0x80) & 0xff) - 0x80) & 0xffff
  return {
    weight,
    address: site.address,
    bytes: { [site.at]: wanted & 0xff },
    found: `displacement ${showByte(site.value)}, which leads to ${showWord(target(site.value))}`,
    wanted: `a displacement that leads to ${showWord(target(wanted & 0xff))}`,
    message: `The jump at ${showWord(site.address)} lands at ${showWord(target(site.value))} and should land at ${showWord(target(wanted & 0xff))}: ${why}`,
  }
}

const counted = 'count from the address behind the jump, which is its own address + 2.'

const displacementOff: Detector = {
  id: 'displacement-off',
  title: 'The displacement of a jump is off',
  looksAt: 'displacements that pass when they are one more or less, or two more',
  *signs(scene) {
    yield* poked(scene, displaced(scene, [1], 0.945, counted))
    yield* poked(scene, displaced(scene, [-1], 0.945, counted))
    yield* poked(scene, displaced(scene, [2], 0.93, counted))
    yield* poked(scene, displaced(scene, [-3, 3], 0.9, counted))
  },
}

const displacementFromOpcode: Detector = {
  id: 'displacement-from-opcode',
  title: 'The displacement was counted from the jump itself',
  looksAt: 'displacements that pass when they are two less',
  *signs(scene) {
    const why =
      'the distance was counted from the address of the jump. It counts from the address behind it, two further on.'
    // Where one less is right as well, that is the smaller mistake.
    const isOneOff = handMade(scene).some((site) => {
      const image = scene.draft.poked({ [site.at]: (site.value - 1) & 0xff })
      return scene.mending.try(image)?.isFull === true
    })
    yield* poked(scene, displaced(scene, [-2], isOneOff ? 0.935 : 0.955, why))
  },
}

const displacementSign: Detector = {
  id: 'displacement-sign',
  title: 'The sign of a displacement is wrong',
  looksAt: 'displacements that pass with their sign turned round',
  *signs(scene) {
    const why = 'a jump back takes the distance from 256, a jump on does not.'
    const sites = handMade(scene).filter(({ value }) => value !== 0 && value !== 0x80)
    yield* poked(
      scene,
      sites.map((site) => displacement(site, -site.value, 0.96, why)),
    )
  },
}

const jumpForCall: Detector = {
  id: 'jump-for-call',
  title: 'CALL and JP in each other’s place',
  looksAt: 'JP that passes as CALL, or the other way round; JP to a routine of the firmware',
  *signs(scene) {
    const opcodes: Readonly<Record<number, number>> = { 0xc3: 0xcd, 0xcd: 0xc3 }
    const sites = scene.sites.filter(({ bytes: [first = 0] }) => first in opcodes)
    yield* poked(
      scene,
      sites.map((site): Poke => {
        const isJump = site.bytes[0] === 0xc3
        return {
          weight: 0.95,
          address: site.address,
          bytes: { [site.address]: opcodes[site.bytes[0] ?? 0] ?? 0 },
          found: site.text,
          wanted: isJump ? 'CALL' : 'JP',
          message: isJump
            ? `${site.text} at ${showWord(site.address)} leaves no return address on the stack, so the routine cannot come back here. CALL does.`
            : `${site.text} at ${showWord(site.address)} leaves a return address on the stack that nobody takes. JP does not.`,
        }
      }),
    )
    const entries = scene.profile.firmware.routines
    for (const site of sites) {
      const routine = entries.find(({ address }) => address === site.value)
      if (routine === undefined || site.bytes[0] !== 0xc3) continue
      yield {
        weight: 0.7,
        address: site.address,
        found: site.text,
        wanted: `CALL ${routine.name}`,
        message: `${site.text} at ${showWord(site.address)} jumps to ${routine.name}, whose RET then takes whatever stands on the stack. CALL leaves a return address there.`,
      }
    }
  },
}

/** The opcode of a conditional jump, call or return with its condition flipped; null for any other. */
function flipped({ bytes: [first = 0] }: Site): number | null {
  if ((first & 0xe7) === 0x20) return first ^ 8
  return [0xc0, 0xc2, 0xc4].includes(first & 0xc7) ? first ^ 8 : null
}

const conditionFlipped: Detector = {
  id: 'condition-flipped',
  title: 'A condition is the wrong way round',
  looksAt: 'conditional jumps, calls and returns that pass with the opposite condition',
  *signs(scene) {
    const pokes = scene.sites.flatMap((site): readonly Poke[] => {
      const opcode = flipped(site)
      return opcode === null
        ? []
        : [
            {
              weight: 0.945,
              address: site.address,
              bytes: { [site.address]: opcode },
              found: site.text,
              wanted: 'the opposite condition',
              message: `${site.text} at ${showWord(site.address)} jumps when it should go on, and goes on when it should jump.`,
            },
          ]
    })
    yield* poked(scene, pokes)
    yield* edited(scene, answersExchanged(scene))
  },
}

/** A carry that is the answer: set where it should be reset, and the other way round. */
function answersExchanged(scene: Scene): readonly Edit[] {
  const { lines } = scene.draft
  if (scene.failedOf('flags').length === 0) return []
  const opposites: Readonly<Record<string, string>> = { SCF: 'OR A', 'OR A': 'SCF', 'AND A': 'SCF' }
  const opposite = (text: string): string | undefined => opposites[text.toUpperCase()]
  const setters = lines.filter(({ text }) => opposite(text) !== undefined)
  const [first] = setters
  if (first === undefined) return []
  const telling = {
    weight: 0.945,
    address: first.address,
    found: 'the carry says yes where it should say no',
    wanted: 'the opposite answer',
    message: `The carry is the answer, and it is the wrong way round: ${atText(first)} sets it where it should be reset, or resets it where it should be set.`,
  }
  const pairs = setters.flatMap((one, i) => setters.slice(i + 1).map((other) => [one, other]))
  return [setters, ...pairs].map((group): Edit => ({
    ...telling,
    changes: { instead: Object.fromEntries(group.map(({ index, text }) => [index, opposite(text) ?? ''])) },
  }))
}

const compares = /^(CP|SUB|SBC|CPI|CPD)$/

const equalCase: Detector = {
  id: 'equal-case',
  title: 'The case “equal” goes the wrong way',
  looksAt: 'branches behind a comparison that pass when equal numbers are sent the other way',
  *signs(scene) {
    const { lines } = scene.draft
    const edits = lines.flatMap((line, i): readonly Edit[] => {
      const isBranch = /^(JR|JP)$/.test(line.mnemonic) && /^(C|NC)$/.test(line.plain[0] ?? '')
      const isCompared = lines.slice(Math.max(0, i - 2), i).some(({ mnemonic }) => compares.test(mnemonic))
      if (!isBranch || !isCompared) return []
      const common = {
        address: line.address,
        weight: 0.93,
        found: `${atText(line)} decides about equal numbers too`,
      }
      const past = line.mnemonic === 'JR' ? 'JR Z,$+4' : 'JR Z,$+5'
      const message = `Where both numbers are equal the branch ${atText(line)} goes the wrong way. After a comparison the carry says “less”; equal is no carry and Z.`
      return [
        { ...common, changes: { before: { [i]: past } }, wanted: 'equal numbers go on', message },
        {
          ...common,
          changes: { before: { [i]: `${line.mnemonic} Z,${line.operands[1] ?? ''}` } },
          wanted: 'equal numbers jump',
          message,
        },
      ]
    })
    yield* edited(scene, edits)
    yield* poked(
      scene,
      scene.sites.flatMap((site, i) => limitPokes(scene, site, scene.sites[i + 1])),
    )
  },
}

/** CP n with the limit one more or less, where the carry decides behind it. */
function limitPokes(scene: Scene, site: Site, next: Site | undefined): readonly Poke[] {
  if (site.form !== 'CP n' || next === undefined || !/^(JR|JP|RET|CALL) N?C\b/.test(next.form)) return []
  return [1, -1].map((difference) => ({
    weight: 0.93,
    address: site.address,
    bytes: { [site.at]: (site.value + difference) & 0xff },
    found: `${showByte(site.value)} counts as ${next.form.includes('NC') ? 'enough' : 'not yet enough'}`,
    wanted: `a limit one ${difference > 0 ? 'higher' : 'lower'}`,
    message: `${site.text} at ${showWord(site.address)}: the number that is just at the limit goes the wrong way. After CP the carry says “less”, so equal is not less.`,
  }))
}

const signedForUnsigned: Detector = {
  id: 'signed-for-unsigned',
  title: 'The sign was taken for the carry',
  looksAt: 'branches on the sign or on overflow that pass when they look at the carry',
  *signs(scene) {
    const pokes = scene.sites.flatMap((site): readonly Poke[] => {
      const [first = 0] = site.bytes
      // JP P, JP M, CALL P, CALL M, RET P, RET M; and the same with PO, PE.
      if (![0xc0, 0xc2, 0xc4].includes(first & 0xc7) || (first & 0x38) < 0x20) return []
      return [0x10, 0x18].map((condition) => ({
        weight: 0.97,
        address: site.address,
        bytes: { [site.address]: (first & 0xc7) | condition },
        found: site.text,
        wanted: 'a condition on the carry',
        message: `${site.text} at ${showWord(site.address)} looks at the ${(first & 0x38) < 0x30 ? 'flag P/V' : 'sign'}, so 80h to FFh count as less than 0. For numbers without sign the carry tells.`,
      }))
    })
    yield* poked(scene, pokes)
  },
}

export const jumps: readonly Detector[] = [
  displacementOff,
  displacementFromOpcode,
  displacementSign,
  jumpForCall,
  conditionFlipped,
  equalCase,
  signedForUnsigned,
]
