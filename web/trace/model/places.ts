/** A stretch of addresses that goes by one name; `to` is included. */
export interface Place {
  readonly name: string
  readonly from: number
  readonly to: number
}

export interface PlaceSource {
  readonly memory: readonly { readonly kind: 'rom' | 'ram'; readonly from: number; readonly to: number }[]
  /** Names of the firmware, each holding until the next. */
  readonly firmware: Readonly<Record<string, number>>
  /** Memory before the run, for the jumps that stand at the entries of the firmware. */
  readonly read: (address: number) => number
  /** Bytes of the program; labels name stretches within. */
  readonly segments: readonly { readonly start: number; readonly bytes: { readonly length: number } }[]
  readonly labels: Readonly<Record<string, number>>
}

/** Every address of the machine by the name of the routine, label or region it lies in. */
export class Places {
  readonly all: readonly Place[]
  /** Index into `all` for each of the 65,536 addresses. */
  readonly indexOf = new Uint16Array(65_536)

  constructor(source: PlaceSource) {
    const all: Place[] = [{ name: 'nowhere', from: 0, to: 0xffff }]
    const lay = (place: Place) => {
      all.push(place)
      this.indexOf.fill(all.length - 1, place.from, place.to + 1)
    }
    for (const region of source.memory) lay({ name: region.kind.toUpperCase(), from: region.from, to: region.to })
    const firmware = withBodies(source.firmware, source.read)
    for (const region of source.memory) {
      if (region.kind === 'rom') for (const place of stretches(firmware, region.from, region.to)) lay(place)
    }
    for (const segment of source.segments) {
      const to = segment.start + segment.bytes.length - 1
      lay({ name: 'program', from: segment.start, to })
      for (const place of stretches(Object.entries(source.labels), segment.start, to)) lay(place)
    }
    this.all = all
  }

  /** `SWEEP`, `SWEEP + 3`. */
  nameAt(address: number): string {
    const place = this.all[this.indexOf[address & 0xffff] ?? 0]
    if (place === undefined) return 'nowhere'
    const past = address - place.from
    const isNamed = !['nowhere', 'ROM', 'RAM'].includes(place.name)
    return past === 0 || !isNamed ? place.name : `${place.name} + ${past}`
  }
}

type Named = readonly (readonly [name: string, address: number])[]

/** A routine whose entry is a JP goes by its name where it really stands, too. */
function withBodies(names: Readonly<Record<string, number>>, read: (address: number) => number): Named {
  const bodies = Object.entries(names).flatMap(([name, entry]) => {
    const isJump = read(entry) === 0xc3
    return isJump ? [[name, read(entry + 1) | (read(entry + 2) << 8)] as const] : []
  })
  return [...bodies, ...Object.entries(names)]
}

/** The names that stand within two addresses, each reaching to the one before the next. */
function stretches(names: Named, from: number, to: number): Place[] {
  const starts = names
    .filter(([, address]) => address >= from && address <= to)
    .toSorted(([, x], [, y]) => x - y)
    .filter(([, address], i, sorted) => sorted[i - 1]?.[1] !== address)
  return starts.map(([name, address], i) => ({ name, from: address, to: (starts[i + 1]?.[1] ?? to + 1) - 1 }))
}
