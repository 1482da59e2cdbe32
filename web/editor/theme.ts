import { EditorView } from '@codemirror/view'

/** The editor in the colours of the house; the tokens switch between light and dark by themselves. */
export const editorTheme = EditorView.theme({
  '&': {
    backgroundColor: 'var(--panel)',
    color: 'var(--ink)',
    fontSize: 'var(--text)',
    flex: '1 1 auto',
    minHeight: '0',
  },
  '&.cm-focused': { outline: '2px solid var(--focus)', outlineOffset: '-2px' },
  '.cm-scroller': { fontFamily: 'var(--mono)', lineHeight: '1.55', fontVariantNumeric: 'slashed-zero' },
  '.cm-content': { caretColor: 'var(--ink)', padding: '6px 0' },
  '.cm-cursor': { borderLeftColor: 'var(--ink)', borderLeftWidth: '2px' },
  '.cm-gutters': {
    backgroundColor: 'var(--well)',
    color: 'var(--soft)',
    border: '0',
    borderRight: '1px solid var(--rule)',
  },
  '.cm-activeLine': { backgroundColor: 'color-mix(in srgb, var(--accent-wash) 45%, transparent)' },
  '.cm-activeLineGutter': { backgroundColor: 'var(--accent-wash)', color: 'var(--ink)' },
  '&.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground, .cm-selectionBackground': {
    backgroundColor: 'color-mix(in srgb, var(--accent) 26%, transparent)',
  },
  '.cm-lineNumbers .cm-gutterElement': { minWidth: '2.2em', padding: '0 8px 0 6px' },
  '.facts-gutter .cm-gutterElement': { padding: '0 8px 0 0' },
  '.fact': {
    display: 'inline-grid',
    gridTemplateColumns: '5.5ch 12ch 5.5ch',
    fontFamily: 'var(--mono)',
    whiteSpace: 'pre',
  },
  '.fact .address': { color: 'var(--ink)' },
  '.fact .bytes': { color: 'var(--accent)', overflow: 'hidden' },
  '.fact .cost': { textAlign: 'right' },
  '.cm-lintRange-error': {
    backgroundImage: 'none',
    textDecoration: 'underline wavy var(--fail) 1.5px',
    textUnderlineOffset: '3px',
  },
  '.cm-lintRange-warning': {
    backgroundImage: 'none',
    textDecoration: 'underline wavy var(--wait) 1.5px',
    textUnderlineOffset: '3px',
  },
  '.cm-tooltip': {
    backgroundColor: 'var(--panel)',
    color: 'var(--ink)',
    border: '1px solid var(--edge)',
    borderRadius: '3px',
    maxWidth: '32rem',
  },
  '.cm-diagnostic': { fontFamily: 'var(--sans)', padding: '6px 10px' },
  '.cm-diagnostic-error': { borderLeft: '3px solid var(--fail)' },
  '.cm-diagnostic-warning': { borderLeft: '3px solid var(--wait)' },
  '.cm-placeholder': { color: 'var(--soft)' },
})
