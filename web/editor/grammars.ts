import { HighlightStyle, StreamLanguage, syntaxHighlighting, type StreamParser } from '@codemirror/language'
import type { Extension } from '@codemirror/state'
import { tags } from '@lezer/highlight'
import { vocabulary } from '../../core/assembler/index.ts'

const { mnemonics, registers, directives, operators } = vocabulary()

/** Assembly, dumps and records in one: what is a number, a comment, an instruction, a register, a directive, a label. */
const program: StreamParser<null> = {
  name: 'program',
  startState: () => null,
  token(stream) {
    if (stream.eatSpace()) return null
    if (stream.match(/^;.*/)) return 'comment'
    if (stream.match(/^"[^"]*"?|^'(?:[^']'|[^']{2,}')/)) return 'string'
    if (stream.match(/^[SW]=[0-9A-Fa-f]{2}\b/)) return 'meta'
    if (stream.match(/^(?:[0-9][0-9A-Fa-f]*[hH]|0[xX][0-9A-Fa-f]+|[$#&%][0-9A-Fa-f]+|[01]+[bB]|\d[0-9A-Fa-f]*)\b/))
      return 'number'
    if (stream.sol() && stream.match(/^:[0-9A-Fa-f]*/)) return 'number'
    const isAtStart = stream.sol()
    const word = stream.match(/^(?:\.(?=[A-Za-z0-9_?@])|[A-Za-z_?@])[A-Za-z0-9_?@.]*'?/)
    if (typeof word === 'object' && word !== null) {
      const text = (word[0] ?? '').toUpperCase()
      const isLabel = stream.peek() === ':'
      if (!isLabel && (directives.has(text.replace(/^\./, '')) || operators.has(text))) return 'meta'
      if (mnemonics.has(text)) return 'keyword'
      if (registers.has(text) || registers.has(text.replace("'", ''))) return 'variableName'
      // A name with a dot is a label wherever it stands: it belongs to the label above it.
      return isAtStart || isLabel || text.startsWith('.') ? 'labelName' : 'name'
    }
    stream.next()
    return null
  },
}

interface YamlState {
  /** Indentation of the line whose `|` or `>` opened a block of text; null outside one. */
  block: number | null
  indent: number
}

/** Enough of YAML to tell names from values. */
const yaml: StreamParser<YamlState> = {
  name: 'yaml',
  startState: () => ({ block: null, indent: 0 }),
  token(stream, state) {
    if (stream.sol()) {
      state.indent = stream.indentation()
      if (state.block !== null && state.indent > state.block) {
        stream.skipToEnd()
        return null
      }
      state.block = null
    }
    if (stream.eatSpace()) return null
    if (stream.match(/^#.*/)) return 'comment'
    if (stream.match(/^[|>][-+\d]*\s*$/)) {
      state.block = state.indent
      return 'punctuation'
    }
    if (stream.match(/^(?:"[^"]*"|'[^']*')(?=\s*:(\s|$))/) || stream.match(/^[\w$.-]+(?=\s*:(\s|$))/))
      return 'labelName'
    if (stream.match(/^"(?:[^"\\]|\\.)*"|^'[^']*'/)) return 'string'
    if (stream.match(/^-?\d[\dA-Fa-f]*[hH]?\b|^0[xX][\dA-Fa-f]+\b/)) return 'number'
    if (stream.match(/^(?:true|false|null)\b/)) return 'keyword'
    if (stream.match(/^[-:,[\]{}|>]/)) return 'punctuation'
    if (stream.match(/^[^\s#:,[\]{}]+/)) return null
    stream.next()
    return null
  },
}

const colours = HighlightStyle.define([
  { tag: tags.comment, color: 'var(--soft)', fontStyle: 'italic' },
  { tag: tags.keyword, color: 'var(--accent)', fontWeight: '600' },
  { tag: tags.meta, color: 'var(--wait)' },
  { tag: tags.labelName, color: 'var(--ink)', fontWeight: '650' },
  { tag: tags.number, color: 'var(--ink)' },
  { tag: tags.string, color: 'var(--pass)' },
  { tag: tags.punctuation, color: 'var(--soft)' },
])

export type Grammar = 'program' | 'yaml'

export function grammar(name: Grammar): Extension {
  const language = name === 'yaml' ? StreamLanguage.define(yaml) : StreamLanguage.define(program)
  return [language, syntaxHighlighting(colours)]
}
