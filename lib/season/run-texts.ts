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

/** What else is written of a run, as the texts that it is found by: names, places, what was said and noted. */
export function runTexts(
  kit: BoardView,
  words: Pick<SeasonWords, 'remark' | 'surface'>,
): (run: SeasonRun) => string[] {
  // The same text is made once: thousands of runs share a few hundred.
  const known = new Map<string, Map<string, string>>()
  const labeled = (label: string, name: string): string => {
    let of = known.get(label)
    if (!of) known.set(label, (of = new Map()))
    let text = of.get(name)
    if (text === undefined) of.set(name, (text = `${label} ${name}`))
    return text
  }
  return (run) => {
    const texts: string[] = []
    const named = (label: string, name: string | null | undefined) => {
      if (name) texts.push(labeled(label, name))
    }
    const tires = kit.tireSets.get(run.tireSetId)
    named('Car', kit.cars.get(run.carId)?.name)
    named('Driver', kit.people.get(run.driverId)?.name ?? run.driverName)
    named('Track', kit.tracks.get(run.trackId)?.name)
    named('Surface', run.surface && words.surface(run.surface))
    named('Meeting', run.meetingName)
    texts.push(run.heat)
    named('Pack', kit.packs.get(run.packId)?.label)
    if (tires)
      named('Tires', [tires.label, tires.compound, tires.tread, tires.insert].filter(Boolean).join(', '))
    named('Motor', kit.motors.get(run.motorId)?.name)
    for (const r of run.remarks) texts.push(words.remark(kit, r))
    if (run.words) texts.push(`“${run.words}”`)
    texts.push(...run.notes)
    return texts
  }
}
