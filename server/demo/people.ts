/** Invented people. */
export const signIns = {
  instructor: { userName: 'mara.quist', displayName: 'Mara Quist' },
  assistant: { userName: 'teo.banda', displayName: 'Teo Banda' },
  student: { userName: 'ana.ferro', displayName: 'Ana Ferro' },
} as const

export const classmates = [
  { userName: 'priya.nair', displayName: 'Priya Nair' },
  { userName: 'kwame.asare', displayName: 'Kwame Asare' },
  { userName: 'lucia.moreno', displayName: 'Lucía Moreno' },
  { userName: 'jonas.weiss', displayName: 'Jonas Weiß' },
  { userName: 'mei.tanaka', displayName: 'Mei Tanaka' },
  { userName: 'yusuf.demir', displayName: 'Yusuf Demir' },
  { userName: 'noor.haddad', displayName: 'Noor Haddad' },
  { userName: 'eero.lahti', displayName: 'Eero Lahti' },
  { userName: 'zofia.nowak', displayName: 'Zofia Nowak' },
  { userName: 'siobhan.daly', displayName: 'Siobhán Daly' },
] as const
