import { describe, expect, test } from 'vitest'
import { stanceOn, type Stance } from '../../../../core/diagnosis/proposal/stance.ts'

type Row = readonly [sentence: string, name: string, stance: Stance | null]

/** Sentences that the reader was written for. */
const known: readonly Row[] = [
  ['The firmware’s BUZZ must not be used.', 'BUZZ', 'denied'],
  ['GETKEY must not be used, PAINT and GLYPH may.', 'GETKEY', 'denied'],
  ['GETKEY must not be used, PAINT and GLYPH may.', 'PAINT', 'allowed'],
  ['GETKEY must not be used, PAINT and GLYPH may.', 'GLYPH', 'allowed'],
  ['BUZZ need not be called.', 'BUZZ', 'free'],
  ['You do not have to use DJNZ.', 'DJNZ', 'free'],
  ['You may not call BUZZ or WAITMS.', 'WAITMS', 'denied'],
  ['Call PAINT once.', 'PAINT', 'wanted'],
  ['Copy them with a loop (LDIR, LDDR or DJNZ).', 'DJNZ', 'wanted'],
  ['The board must not flicker, so call PAINT often.', 'PAINT', 'wanted'],
  ['No registers need be kept, and PAINT may be called.', 'PAINT', 'allowed'],
  ['Do without BUZZ.', 'BUZZ', 'denied'],
  ['Show it without calling PAINT.', 'PAINT', 'denied'],
  ['No firmware routine but PAINT may be called.', 'PAINT', 'allowed'],
  ['Not only PAINT but GLYPH too may be called.', 'PAINT', 'allowed'],
  ['PAINT (0040h) sweeps the digits once and changes BC.', 'PAINT', null],
  ['Do not call PAINT before the buffer is full.', 'PAINT', null],
  ['Do not use BUZZ, call WAITMS instead.', 'WAITMS', 'wanted'],
  ['Do not use BUZZ, call WAITMS instead.', 'BUZZ', 'denied'],
  ['You can use WAITMS or your own loop.', 'WAITMS', 'allowed'],
  ['Don’t hesitate to call GLYPH.', 'GLYPH', 'allowed'],
  ['Make the tone yourself rather than with BUZZ.', 'BUZZ', 'denied'],
  ['Is BUZZ not easier?', 'BUZZ', null],
  ['Avoid LDIR.', 'LDIR', 'denied'],
  ['LDIR and LDDR are not allowed.', 'LDIR', 'denied'],
  ['LDIR is optional.', 'LDIR', 'free'],
  ['The program never calls BUZZ.', 'BUZZ', 'denied'],
  ['When no key is down, PAINT must still be called.', 'PAINT', 'wanted'],
  ['Use neither LDIR nor LDDR.', 'LDDR', 'denied'],
  ['Use DJNZ; no other loop is wanted.', 'DJNZ', 'wanted'],
  ['The lamp is not lit by PAINT.', 'PAINT', null],
  ['GLYPH is at hand, and nothing hinders you from using it.', 'GLYPH', 'allowed'],
]

/** Sentences that were written before the reader, and kept aside until it was done. */
const keptAside: readonly Row[] = [
  ['BUZZ must not be called.', 'BUZZ', 'denied'],
  ['You need not call BUZZ.', 'BUZZ', 'free'],
  ['You may use PAINT but not BUZZ.', 'PAINT', 'allowed'],
  ['You may use PAINT but not BUZZ.', 'BUZZ', 'denied'],
  ['Use nothing but PAINT.', 'PAINT', 'wanted'],
  ['Neither WAITMS nor BUZZ may be called.', 'WAITMS', 'denied'],
  ['Neither WAITMS nor BUZZ may be called.', 'BUZZ', 'denied'],
  ['Do not forget to call PAINT.', 'PAINT', 'wanted'],
  ['There is no need to call WAITMS.', 'WAITMS', 'free'],
  ['The bell has to ring without BUZZ.', 'BUZZ', 'denied'],
  ['PAINT changes BC, which is not what you want.', 'PAINT', null],
  ['No routine other than GLYPH may be called.', 'GLYPH', 'allowed'],
  ['Count with DJNZ, not with DEC and JR.', 'DJNZ', 'wanted'],
  ['It is not forbidden to call GETKEY.', 'GETKEY', 'allowed'],
  ['Why can BUZZ not be used here?', 'BUZZ', null],
  ['Never call WAITMS from the handler.', 'WAITMS', null],
  ['The tone does not come from BUZZ.', 'BUZZ', 'denied'],
  ['GETKEY is forbidden; PAINT is not.', 'GETKEY', 'denied'],
  ['GETKEY is forbidden; PAINT is not.', 'PAINT', 'allowed'],
  ['You cannot do without PAINT.', 'PAINT', 'wanted'],
  ['Copy the bytes by LDIR instead of DJNZ.', 'LDIR', 'wanted'],
  ['Copy the bytes by LDIR instead of DJNZ.', 'DJNZ', 'denied'],
  ['If you do not call PAINT, sweep the digits yourself.', 'PAINT', null],
  ['Calling PAINT is allowed, calling GETKEY is not.', 'PAINT', 'allowed'],
  ['Calling PAINT is allowed, calling GETKEY is not.', 'GETKEY', 'denied'],
  ['You may use the firmware’s PAINT (0040h) and GLYPH (0060h).', 'GLYPH', 'allowed'],
  ['The routine uses no BUZZ.', 'BUZZ', 'denied'],
  ['PAINT does not keep HL.', 'PAINT', null],
  ['WAITMS isn’t needed.', 'WAITMS', 'free'],
  ['Show the sign with PAINT, but do not call it more than 200 times.', 'PAINT', 'wanted'],
  ['Everything is allowed except BUZZ.', 'BUZZ', 'denied'],
  ['Nothing is forbidden: PAINT, BUZZ and WAITMS may all be called.', 'BUZZ', 'allowed'],
  ['The use of WAITMS is not permitted.', 'WAITMS', 'denied'],
  ['You are free to call GLYPH.', 'GLYPH', 'allowed'],
  ['You must not touch the speaker while PAINT runs.', 'PAINT', null],
  ['Write your own delay; do not use WAITMS.', 'WAITMS', 'denied'],
  ['Only PAINT may be called.', 'PAINT', 'allowed'],
  ['The firmware’s BUZZ is not to be used.', 'BUZZ', 'denied'],
  ['The digits are shown with PAINT, not by the timer.', 'PAINT', 'wanted'],
  ['BUZZ, WAITMS and PAINT are all allowed.', 'WAITMS', 'allowed'],
  ['You will not need GETKEY.', 'GETKEY', 'free'],
  ['No call to BUZZ, please.', 'BUZZ', 'denied'],
  ['A program that never calls PAINT stays dark.', 'PAINT', null],
  ['GETKEY waits until no key is down.', 'GETKEY', null],
  ['Show the count by calling PAINT; BUZZ is out of bounds.', 'BUZZ', 'denied'],
  ['Show the count by calling PAINT; BUZZ is out of bounds.', 'PAINT', 'wanted'],
  ['There must be no DJNZ in your program.', 'DJNZ', 'denied'],
  ['You may use any instruction, LDIR included, but no BUZZ.', 'LDIR', 'allowed'],
  ['You may use any instruction, LDIR included, but no BUZZ.', 'BUZZ', 'denied'],
  ['Without PAINT you would see nothing.', 'PAINT', null],
]

describe('what a task says of a routine or an instruction', () => {
  test.each(known)('%s (%s: %s)', (sentence, name, stance) => expect(stanceOn(sentence, name)).toBe(stance))
})

describe('the same, of sentences kept aside', () => {
  test.each(keptAside)('%s (%s: %s)', (sentence, name, stance) => expect(stanceOn(sentence, name)).toBe(stance))
})

describe('a whole task', () => {
  test('what one sentence allows is not forbidden by another', () =>
    expect(stanceOn('Do not use BUZZ in the first part. In the second part BUZZ may be called.', 'BUZZ')).toBe(
      'allowed',
    ))
  test('the firmware as a whole, but not where one of its routines is named', () => {
    expect(stanceOn('The firmware must not be called.', 'firmware')).toBe('denied')
    expect(stanceOn('You may use the firmware.', 'firmware')).toBe('allowed')
    expect(stanceOn('The firmware’s BUZZ must not be used.', 'firmware')).toBeNull()
    expect(stanceOn('No firmware routine but PAINT may be called.', 'firmware')).toBeNull()
  })
  test('lines that are broken within a sentence', () =>
    expect(stanceOn('The tone must not\n  come from\n  BUZZ.', 'BUZZ')).toBe('denied'))
})
