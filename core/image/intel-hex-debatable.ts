/**
 * What Intel HEX files do that the record format leaves open, and what we do about it. One rule stands behind all: bytes
 * that a student sent are never dropped or moved without a word, and what cannot change the bytes is let through.
 *
 * The reader asks this table, but for `returnOnly`, `byteOrderMark` (`text-lines.ts`) and `overwritten` (`loader.ts`), which
 * all forms of a program share; the tests hold those to their verdict here.
 */
export const debatable = {
  lowerCaseDigits: {
    verdict: 'accept',
    because: 'Their value is beyond doubt, and every programmer reads both.',
  },
  noData: {
    verdict: 'accept',
    because: 'A data record of no bytes puts nothing anywhere.',
  },
  addressInEnd: {
    verdict: 'accept',
    because: 'Old 8-bit tools write the start address there; it is taken as such when it is not 0000.',
  },
  pastEnd: {
    verdict: 'reject',
    because: 'A Z80 has no byte behind FFFFh, and wrapping round would fill 0000h, where nobody meant it to go.',
  },
  upperAddress: {
    verdict: 'reject',
    because:
      'Bytes above 64 KiB cannot be loaded. The record alone does no harm: it is the data after it that is refused.',
  },
  addressInUpper: {
    verdict: 'warn',
    because:
      'The address of a type 02 or 04 record has no meaning, so nothing is lost; but no tool should have written it.',
  },
  blanksBefore: {
    verdict: 'accept',
    because: 'Pasting from a page or a letter puts them there; the record itself is whole.',
  },
  blanksAfter: {
    verdict: 'accept',
    because: 'They cannot be seen, so nobody could mend them.',
  },
  textAfter: {
    verdict: 'reject',
    because: 'The count says where the record ends; what follows may be bytes of a record that lost its line end.',
  },
  returnOnly: {
    verdict: 'accept',
    because: 'CR alone was a line end once; no record holds one, so it is clear where each ends.',
  },
  endAlone: {
    verdict: 'reject',
    because: 'There is not one byte to run: the file is empty as far as a program goes.',
  },
  afterEnd: {
    verdict: 'reject',
    because: 'Leaving data out in silence would grade another program than the one that was sent.',
  },
  endTwice: {
    verdict: 'warn',
    because: 'Two files set one behind the other look like this; with no data between, nothing is lost.',
  },
  overwritten: {
    verdict: 'reject',
    because: 'Of two values for one address only one can be loaded, and we cannot know which was meant.',
  },
  sameAgain: {
    verdict: 'warn',
    because: 'The same byte at the same place changes nothing, but it is a sign of a pasting slip.',
  },
  textBetween: {
    verdict: 'reject',
    because: 'A line without its colon may be a record that lost it, and its bytes would be missing.',
  },
  byteOrderMark: {
    verdict: 'accept',
    because: 'Editors put it in front unasked; it stands for no character.',
  },
} as const satisfies Readonly<Record<string, { verdict: 'accept' | 'warn' | 'reject'; because: string }>>
