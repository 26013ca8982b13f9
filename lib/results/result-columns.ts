import { fold } from '../board/fold-name'
import type { TableRow } from '../tables'

/** What a column of a result list or a lap list can hold. */
export const LIST_ROLES = [
  'ignore',
  'heat',
  'round',
  'class',
  'position',
  'driver',
  'givenName',
  'familyName',
  'carNumber',
  'transponder',
  'laps',
  'time',
  'result',
  'best',
  'status',
  'lap',
  'lapTime',
  'allLaps',
] as const
export type ListRole = (typeof LIST_ROLES)[number]
export const LIST_ROLE_NAMES: Readonly<Record<ListRole, string>> = {
  ignore: 'Not used',
  heat: 'Heat number',
  round: 'Round',
  class: 'Class',
  position: 'Place',
  driver: 'Driver name',
  givenName: 'Given name',
  familyName: 'Family name',
  carNumber: 'Car number',
  transponder: 'Transponder',
  laps: 'Laps done',
  time: 'Time',
  result: 'Laps and time in one',
  best: 'Best lap',
  status: 'Did not start or finish',
  lap: 'Lap number',
  lapTime: 'Lap time',
  allLaps: 'All laps in one cell',
}
export type ListKind = 'results' | 'laps'

/** Words as result lists print them. Common practice, no source. */
const WORDS: readonly [ListRole, RegExp][] = [
  ['transponder', /\btransponders?\b|\btag\b|\bchip\b/],
  ['givenName', /\b(?:first|given) ?names?\b|\bvorname\b|\bvoornaam\b|\bprenom\b/],
  ['familyName', /\b(?:last|family|sur) ?names?\b|\bsurname\b|\bnachname\b|\bachternaam\b/],
  ['best', /\bbest\b|\bfastest\b|\bbeste\b|\bsnelste\b|\bmeilleur\b/],
  ['allLaps', /\b(?:all|lap) ?(?:laps|times|list)\b|\brundenzeiten\b/],
  ['lapTime', /\blap ?time\b|\brundenzeit\b|\brondetijd\b/],
  ['status', /\bstatus\b|\bremarks?\b|\bnotes?\b|\bbemerkung\b/],
  ['position', /^(?:pos|position|place|platz|plaats|rank|rang|fin(?:ish)? ?pos(?:ition)?)$/],
  ['result', /^result$|\blaps (?:and )?time\b|\bergebnis\b|\buitslag\b/],
  ['lap', /^(?:lap|runde|ronde|tour)(?: ?(?:n(?:o|r)|number))?$|^#$/],
  ['laps', /^(?:laps|lps|runden|rondes|tours)(?: done)?$/],
  ['time', /\btime\b|\bzeit\b|\btijd\b|\btemps\b|\btotal\b/],
  ['round', /^(?:round|rd|runde nr|manche|session)(?: ?(?:n(?:o|r)|number))?$/],
  ['class', /\bclass\b|\bcategory\b|\bklasse\b|\bclasse\b/],
  ['heat', /\bheats?\b|\bgroup\b|\bgruppe\b|\blauf\b|\brace(?: ?(?:n(?:o|r)|number))?$/],
  ['carNumber', /\bcar\b|\bstartnummer\b|^(?:n(?:o|r)|number)$|\bcar ?n(?:o|r|umber)\b/],
  ['driver', /\bdrivers?\b|\bracers?\b|\bname\b|\bfahrer\b|\bpilote?\b|\brijder\b/],
]

export function roleOfHeading(name: string): ListRole {
  const folded = name.trim() === '#' ? '#' : fold(name)
  if (folded === '') return 'ignore'
  return WORDS.find(([, words]) => words.test(folded))?.[0] ?? 'ignore'
}

/** A column that holds one lap of each racer: `Lap 3`, `3`. */
export function lapOfHeading(name: string): number | null {
  const found = /^(?:(?:lap|l|runde|ronde)\s*)?0*(\d{1,3})$/.exec(fold(name))
  return found ? Number(found[1]) : null
}

export interface ListLayout {
  /** Line of the header; null when the list has none. */
  headerLine: number | null
  /** The header's text per column. */
  names: string[]
  roles: ListRole[]
}

const HEADER_WITHIN_ROWS = 30

/** The header is the row near the top that names the most columns; without one, columns are guessed from what is in them. */
export function guessListLayout(rows: readonly TableRow[]): ListLayout {
  const width = Math.max(0, ...rows.map((r) => r.cells.length))
  let best: { row: TableRow; score: number } | null = null
  for (const row of rows.slice(0, HEADER_WITHIN_ROWS)) {
    if (row.cells.some((c) => /\d[:.,]\d|\d{4,}/.test(c))) continue
    const named = new Set(row.cells.map(roleOfHeading).filter((r) => r !== 'ignore')).size
    const lapColumns = row.cells.filter((c) => lapOfHeading(c) !== null).length
    const score = named + (named > 0 && lapColumns >= 2 ? 1 : 0)
    if (score >= 2 && score > (best?.score ?? 0)) best = { row, score }
  }
  const names = Array.from({ length: width }, (_, i) => best?.row.cells[i] ?? `Column ${i + 1}`)
  const taken = new Set<ListRole>()
  const roles = names.map((name): ListRole => {
    const role = best ? roleOfHeading(name) : 'ignore'
    if (role === 'ignore' || taken.has(role)) return 'ignore'
    taken.add(role)
    return role
  })
  const body = best ? rows.filter((r) => r.line > best.row.line) : rows
  return { headerLine: best?.row.line ?? null, names, roles: byContent(body, roles) }
}

/** Fills what the header leaves open from what is in the columns. */
function byContent(body: readonly TableRow[], given: readonly ListRole[]): ListRole[] {
  const roles = [...given]
  const sample = body.slice(0, 200)
  const share = (column: number, test: (cell: string) => boolean) => {
    const cells = sample.map((r) => r.cells[column] ?? '').filter((c) => c !== '')
    return cells.length === 0 ? 0 : cells.filter(test).length / cells.length
  }
  const claim = (role: ListRole, test: (cell: string) => boolean, isNeeded = true) => {
    if (!isNeeded || roles.includes(role)) return
    const best = roles
      .map((r, i) => ({ i, share: r === 'ignore' ? share(i, test) : 0 }))
      .sort((a, b) => b.share - a.share)[0]
    if (best && best.share >= 0.7) roles[best.i] = role
  }
  claim('transponder', (c) => /^\d{5,8}$/.test(c))
  claim('result', (c) => COMBINED.test(c), !roles.includes('laps'))
  claim('driver', (c) => /^\p{L}[\p{L} .,'’-]+ [\p{L} .,'’-]+$/u.test(c), !roles.includes('familyName'))
  return roles
}

/** `13/5:02.4`, `13 laps in 5:02.4`, `13L 5:02.4` */
export const COMBINED = /^(\d{1,3})\s*(?:\/|laps?\b\s*(?:in\b)?|l\b|x)\s*([\d:.,]+)$/i
