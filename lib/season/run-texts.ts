import { CAR_PARAMETERS, escParameterId, type BoardView, type Remark, type Setting } from '../board'
import { settingText } from '../core/setting-text'
import type { SeasonRun, Surface } from './season-runs'

/** What the screens call things that a run only has as codes. */
export interface SeasonWords {
  remark(kit: BoardView, remark: Remark): string
  surface(surface: Surface): string
  /** A value of any car's card, by its parameter's id. */
  parameter(id: string): string
}

/** How a value of a card is called, by its parameter's id. */
export function parameterFaces(
  kit: Pick<BoardView, 'controllerParameters'>,
  words: Pick<SeasonWords, 'parameter'>,
): ReadonlyMap<string, { label: string; unit: string }> {
  const faces = new Map(CAR_PARAMETERS.map((p) => [p.id, { label: words.parameter(p.id), unit: p.unit }]))
  for (const p of kit.controllerParameters.all.values())
    faces.set(escParameterId(p.id), { label: p.label ?? p.id, unit: p.unit ?? '' })
  return faces
}

/** A value of a card as the text that its runs are found by. */
export function valueTexts(
  kit: BoardView,
  words: Pick<SeasonWords, 'parameter'>,
): (id: string, value: Setting) => string {
  const faces = parameterFaces(kit, words)
  const known = new Map<string, Map<Setting, string>>()
  return (id, value) => {
    let of = known.get(id)
    if (!of) known.set(id, (of = new Map()))
    let text = of.get(value)
    if (text === undefined) {
      const { label, unit } = faces.get(id) ?? { label: id, unit: '' }
      of.set(value, (text = `${label} ${settingText(value, unit)}`))
    }
    return text
  }
}

/** What else is written of a meeting's runs, as the texts that they are found by: names, places, what was said and noted. Each with the runs that have it, by their place in the list. */
export function runTexts(
  kit: BoardView,
  words: Pick<SeasonWords, 'remark' | 'surface'>,
): (runs: readonly SeasonRun[]) => ReadonlyMap<string, readonly number[]> {
  return (runs) => {
    const texts: Columns = new Map()
    // By name before they are made texts: a meeting's runs share a few dozen.
    const names = new Map<string, Columns>()
    for (const [n, run] of runs.entries()) {
      const named = (label: string, name: string | null | undefined) => {
        if (!name) return
        let of = names.get(label)
        if (!of) names.set(label, (of = new Map()))
        put(of, name, n)
      }
      const tires = kit.tireSets.get(run.tireSetId)
      named('Car', kit.cars.get(run.carId)?.name)
      named('Driver', kit.people.get(run.driverId)?.name ?? run.driverName)
      named('Track', kit.tracks.get(run.trackId)?.name)
      named('Surface', run.surface && words.surface(run.surface))
      named('Meeting', run.meetingName)
      named('Pack', kit.packs.get(run.packId)?.label)
      if (tires)
        named('Tires', [tires.label, tires.compound, tires.tread, tires.insert].filter(Boolean).join(', '))
      named('Motor', kit.motors.get(run.motorId)?.name)
      put(texts, run.heat, n)
      for (const r of run.remarks) put(texts, words.remark(kit, r), n)
      if (run.words) put(texts, `“${run.words}”`, n)
      for (const note of run.notes) put(texts, note, n)
    }
    for (const [label, of] of names)
      for (const [name, at] of of) for (const n of at) put(texts, `${label} ${name}`, n)
    return texts
  }
}

type Columns = Map<string, number[]>

/** A run that says the same twice stands once. */
function put(columns: Columns, text: string, n: number): void {
  const at = columns.get(text)
  if (!at) columns.set(text, [n])
  else if (at[at.length - 1] !== n) at.push(n)
}
