import { defaultKeymap, history, historyKeymap } from '@codemirror/commands'
import { lintKeymap, setDiagnostics } from '@codemirror/lint'
import { EditorState, type Extension } from '@codemirror/state'
import {
  drawSelection,
  EditorView,
  highlightActiveLine,
  highlightActiveLineGutter,
  keymap,
  lineNumbers,
  placeholder,
} from '@codemirror/view'
import { factsGutter, setFacts, type GutterFact } from './facts-gutter.ts'
import { grammar, type Grammar } from './grammars.ts'
import { editorTheme } from './theme.ts'

/** A mistake in the text, as the editor underlines it. Line and column count from 1. */
export interface EditorProblem {
  readonly severity: 'error' | 'warning'
  readonly line: number
  readonly column: number
  readonly length: number
  readonly message: string
}

export interface EditorOptions {
  readonly text: string
  readonly label: string
  readonly grammar: Grammar
  readonly hint: string
  readonly isReadOnly: boolean
  readonly hasFacts: boolean
  readonly onchange: (text: string) => void
}

/** The editor component of the house round CodeMirror. Tab leaves it: nobody is caught in it by keyboard. */
export class Editor {
  readonly #view: EditorView

  constructor(parent: HTMLElement, options: EditorOptions) {
    this.#view = new EditorView({
      parent,
      state: EditorState.create({ doc: options.text, extensions: extensions(options) }),
    })
  }

  /** Lines are measured anew once the faces have come: until then they were drawn in another. */
  async settle(): Promise<void> {
    await document.fonts.ready
    this.#view.requestMeasure()
  }

  show(text: string): void {
    const { state } = this.#view
    if (state.doc.toString() === text) return
    this.#view.dispatch({ changes: { from: 0, to: state.doc.length, insert: text } })
  }

  mark(problems: readonly EditorProblem[]): void {
    const { state } = this.#view
    const marks = problems.map(({ severity, message, line, column, length }) => {
      const at = state.doc.line(Math.min(Math.max(line, 1), state.doc.lines))
      const from = Math.min(at.from + column - 1, at.to)
      return { severity, message, from, to: Math.min(from + Math.max(length, 1), at.to) }
    })
    this.#view.dispatch(setDiagnostics(state, marks))
  }

  note(facts: readonly GutterFact[]): void {
    this.#view.dispatch({ effects: setFacts.of(facts) })
  }

  /** Puts the cursor there and takes the keyboard. */
  goTo(line: number, column: number): void {
    const at = this.#view.state.doc.line(Math.min(Math.max(line, 1), this.#view.state.doc.lines))
    const anchor = Math.min(at.from + column - 1, at.to)
    this.#view.dispatch({ selection: { anchor }, effects: EditorView.scrollIntoView(anchor, { y: 'center' }) })
    this.#view.focus()
  }

  close(): void {
    this.#view.destroy()
  }
}

function extensions(options: EditorOptions): readonly Extension[] {
  return [
    lineNumbers(),
    ...(options.hasFacts ? [factsGutter()] : []),
    history(),
    drawSelection(),
    highlightActiveLine(),
    highlightActiveLineGutter(),
    grammar(options.grammar),
    editorTheme,
    placeholder(options.hint),
    keymap.of([...lintKeymap, ...historyKeymap, ...defaultKeymap]),
    EditorState.readOnly.of(options.isReadOnly),
    EditorView.contentAttributes.of({
      'aria-label': options.label,
      tabindex: '0',
      autocapitalize: 'none',
      spellcheck: 'false',
    }),
    EditorView.updateListener.of((update) => {
      if (update.docChanged) options.onchange(update.state.doc.toString())
    }),
  ]
}
