import type { Needed, NeededQuestion } from '@/lib/standings'

export type NeededOrder = readonly { id: string; question: NeededQuestion }[]
/** By the question's id. */
export type NeededFound = ReadonlyMap<string, Needed>

export interface NeededTasks {
  needed: { question: NeededOrder; answer: NeededFound }
}
