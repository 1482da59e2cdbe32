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
    for (const region of source.memory) {
      if (region.kind === 'rom') for (const place of stretches(source.firmware, region.from, region.to)) lay(place)
    }
    for (const segment of source.segments) {
      const to = segment.start + segment.bytes.length - 1
      lay({ name: 'program', from: segment.start, to })
      for (const place of stretches(source.labels, segment.start, to)) lay(place)
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

/** The names that stand within two addresses, each reaching to the one before the next. */
function stretches(names: Readonly<Record<string, number>>, from: number, to: number): Place[] {
  const starts = Object.entries(names)
    .filter(([, address]) => address >= from && address <= to)
    .sort(([a, x], [b, y]) => x - y || (a < b ? -1 : 1))
    .filter(([, address], i, sorted) => sorted[i - 1]?.[1] !== address)
  return starts.map(([name, address], i) => ({ name, from: address, to: (starts[i + 1]?.[1] ?? to + 1) - 1 }))
}
