/** The colours a canvas draws with, resolved from the tokens of web/styles for the theme in use. */
export interface Palette {
  readonly ground: string
  readonly panel: string
  readonly well: string
  readonly ink: string
  readonly soft: string
  readonly rule: string
  readonly edge: string
  readonly accent: string
  readonly accentWash: string
  readonly fail: string
  readonly wait: string
  readonly glass: string
  readonly glassInk: string
  readonly lit: string
  readonly unlit: string
  readonly mono: string
  readonly sans: string
}

const tokens: Readonly<Record<Exclude<keyof Palette, 'mono' | 'sans'>, string>> = {
  ground: '--ground',
  panel: '--panel',
  well: '--well',
  ink: '--ink',
  soft: '--soft',
  rule: '--rule',
  edge: '--edge',
  accent: '--accent',
  accentWash: '--accent-wash',
  fail: '--fail',
  wait: '--wait',
  glass: '--glass',
  glassInk: '--glass-ink',
  lit: '--lit',
  unlit: '--unlit',
}

/** A custom property keeps `light-dark(…)` unresolved; a colour that uses it does not. */
export function readPalette(element: HTMLElement): Palette {
  const probe = element.ownerDocument.createElement('span')
  element.append(probe)
  const computed = getComputedStyle(probe)
  const read = (token: string) => {
    probe.style.color = `var(${token})`
    return computed.color
  }
  const colours = Object.fromEntries(Object.entries(tokens).map(([name, token]) => [name, read(token)])) as Record<
    keyof typeof tokens,
    string
  >
  const mono = computed.getPropertyValue('--mono')
  const sans = computed.getPropertyValue('--sans')
  probe.remove()
  return { ...colours, mono, sans }
}

/** Calls back whenever the colours may have changed; gives what ends it. */
export function watchTheme(changed: () => void): () => void {
  const scheme = matchMedia('(prefers-color-scheme: dark)')
  scheme.addEventListener('change', changed)
  const observer = new MutationObserver(changed)
  observer.observe(document.documentElement, { attributes: true, attributeFilter: ['data-theme', 'class', 'style'] })
  return () => {
    scheme.removeEventListener('change', changed)
    observer.disconnect()
  }
}
