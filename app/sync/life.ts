import { newId } from '@/lib/core/id'

/**
 * [S23] What a device's copy of a room descends from: the server's generation, and behind it a mark of its own where the copy was begun anew
 * within that generation. Copies of different lives never flow into each other.
 */
export type Life = string

export const generationOf = (life: Life): string => life.split('#')[0] ?? life
/** The life of a copy that is made now. `before`: of the copy that it takes the place of. */
export const nextLife = (before: Life | null, generation: string): Life =>
  before !== null && generationOf(before) === generation ? `${generation}#${newId<'life'>()}` : generation
