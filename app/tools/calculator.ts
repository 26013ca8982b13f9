import { RangeProblem } from '@/lib/setup-math'
import { refuse, type Refusal } from '@/lib/core/result'

/** One number that a calculator asks for. */
export interface CalcInput {
  id: string
  label: string
  unit: string
  min: number
  max: number
  step?: number
  /** What it starts with: also the worked example's value; null for an optional one that starts empty. */
  example: number | null
  /** May stay empty; `compute` then finds no value under its id. */
  isOptional?: boolean
}

export interface CalcResult {
  id: string
  label: string
  /** Text where the answer is a word: how a pack may travel. */
  value: number | string
  unit: string
  digits: number
}

export type CalcValues = Readonly<Record<string, number | null>>

/** A question that comes without a car. Its figures come from setup-math; its worked example is checked by the tests. */
export interface Calculator {
  id: string
  title: string
  about: string
  inputs: readonly CalcInput[]
  /** @throws RangeProblem on nonsense, its field being an input's id; text: there is no answer, and why. */
  compute: (v: Readonly<Record<string, number | undefined>>) => CalcResult[] | string
  /** The example in words, with where its figures come from. */
  example: { text: string; source: string }
  /** What to keep in mind, and where hands get hurt. */
  note?: string
  caution?: 'pack' | 'can' | 'wheels'
}

export type CalcAnswer =
  | { kind: 'results'; results: CalcResult[] }
  | { kind: 'none'; reason: string }
  | { kind: 'refused'; refusal: Refusal }
  | { kind: 'incomplete'; missing: string[] }

/** Answers a calculator, whatever was typed. Never NaN. */
export function answerOf(calc: Calculator, values: CalcValues): CalcAnswer {
  const missing = calc.inputs
    .filter((i) => !i.isOptional && typeof values[i.id] !== 'number')
    .map((i) => i.label)
  if (missing.length) return { kind: 'incomplete', missing }
  try {
    const out = calc.compute(Object.fromEntries(calc.inputs.map((i) => [i.id, values[i.id] ?? undefined])))
    return typeof out === 'string' ? { kind: 'none', reason: out } : { kind: 'results', results: out }
  } catch (error) {
    if (!(error instanceof RangeProblem)) throw error
    const input = calc.inputs.find((i) => i.id === error.field)
    return { kind: 'refused', refusal: refusalOf(error, input?.label ?? error.field) }
  }
}

/** A model's complaint in the words of the screens: field, value, and the range that is allowed. */
export function refusalOf(error: RangeProblem, label: string): Refusal {
  const value = typeof error.value === 'number' && Number.isFinite(error.value) ? error.value : ''
  return refuse(label, value, 'is not possible', `Must be ${error.range}.`).error
}

/** For conditions between two inputs, which have to be told in the units that were typed. @throws RangeProblem */
export function demand(holds: boolean, id: string, value: number, range: string): void {
  if (!holds) throw new RangeProblem(id, value, range)
}

export const row = (
  id: string,
  label: string,
  value: number | string,
  unit: string,
  digits: number,
): CalcResult => ({ id, label, value, unit, digits })

export const input = (
  id: string,
  label: string,
  unit: string,
  min: number,
  max: number,
  example: number,
  step?: number,
): CalcInput => ({ id, label, unit, min, max, example, ...(step !== undefined && { step }) })

/** One that may stay empty. */
export const optional = (
  id: string,
  label: string,
  unit: string,
  min: number,
  max: number,
  example: number | null = null,
): CalcInput => ({ id, label, unit, min, max, example, isOptional: true })
