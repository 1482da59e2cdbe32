import { instructionSet } from '../../cpu/index.ts'
import type { Observed } from './observed.ts'
import type { Idea } from './proposal.ts'
import { stanceOn, theFirmware } from './stance.ts'

/** Words that are instructions and English. */
const plainWords = [
  'AND',
  'OR',
  'IN',
  'SET',
  'OUT',
  'HALT',
  'RET',
  'CALL',
  'NOP',
  'ADD',
  'SUB',
  'PUSH',
  'POP',
  'EX',
  'BIT',
  'RES',
  'INC',
  'DEC',
  'LD',
  'JP',
  'JR',
  'DI',
  'EI',
  'IM',
  'CP',
]
const mnemonics = new Set(instructionSet.map(({ text }) => text.split(' ')[0] ?? ''))

/** Instructions and firmware routines that the task asks for or forbids. What it allows is neither. */
export function wordIdeas(observed: Observed): readonly Idea[] {
  return [...instructionIdeas(observed), ...routineIdeas(observed)]
}

function instructionIdeas({ brief, runs }: Observed): readonly Idea[] {
  const words = new Set(brief.match(/\b[A-Z]{2,6}\b/g) ?? [])
  const named = [...words].filter((word) => mnemonics.has(word) && !plainWords.includes(word))
  const isUsed = (word: string): boolean => runs.some((run) => run.mnemonics.has(word))
  const denied = named.filter((word) => stanceOn(brief, word) === 'denied')
  const asked = named.filter((word) => !denied.includes(word))
  const ideas: Idea[] = []
  if (asked.some(isUsed)) {
    ideas.push({
      ...{ id: 'instructions', group: 'care', weight: 1, title: `${asked.join(' or ')} is used` },
      reason: 'The task names it, and the model answer executes it.',
      isChosen: asked.some((word) => !['allowed', 'free'].includes(stanceOn(brief, word) ?? '')),
      ways: [{ kind: 'required-instruction', any: asked }],
    })
  }
  const unused = denied.filter((word) => !isUsed(word))
  if (unused.length > 0) {
    ideas.push({
      ...{
        id: 'without-instructions',
        group: 'care',
        weight: 1,
        title: `${unused.join(' and ')} ${unused.length === 1 ? 'is' : 'are'} not used`,
      },
      reason: 'The task forbids it, and the model answer does without.',
      ways: [{ kind: 'forbidden-instruction', none: unused }],
    })
  }
  return ideas
}

function routineIdeas({ brief, profile, runs }: Observed): readonly Idea[] {
  const ideas = profile.firmware.routines.flatMap(({ name, address }): readonly Idea[] => {
    if (!new RegExp(`\\b${name}\\b`).test(brief)) return []
    const stance = stanceOn(brief, name)
    const isCalled = runs.some(({ entered }) => entered.has(address))
    const id = name.toLowerCase()
    if (isCalled) {
      return [
        {
          ...{ id: `calls-${id}`, group: 'care', weight: 1, title: `${name} is called` },
          reason: 'The task names it, and the model answer calls it.',
          isChosen: stance === 'wanted',
          ways: [{ kind: 'calls-routine', routine: name }],
        },
      ]
    }
    if (stance === 'allowed' || stance === 'free') return []
    return [
      {
        ...{ id: `without-${id}`, group: 'care', weight: 1, title: `${name} is not called` },
        reason: 'The task names it, and the model answer does without.',
        isChosen: stance === 'denied',
        ways: [{ kind: 'forbidden-routine', routines: [name] }],
      },
    ]
  })
  return stanceOn(brief, theFirmware) === 'denied'
    ? [
        ...ideas,
        {
          ...{ id: 'without-firmware', group: 'care', weight: 1, title: 'The firmware is not called' },
          reason: 'The task forbids it, and the model answer does without.',
          ways: [{ kind: 'forbidden-routine', all: true }],
        },
      ]
    : ideas
}
