/** What can be asked at a desk, by its place. A later question of a place takes the earlier one's. */
export type Tasks<T> = { [K in keyof T]: { question: unknown; answer: unknown } }

/** To the worker. Without a question: nobody waits for that place's answer any more. */
export type DeskOrder<T extends Tasks<T>> = {
  [K in keyof T]: { place: K } & ({ n: number; question: T[K]['question'] } | { n: null })
}[keyof T]

/** From the worker, about question `n`. An answer that is not the last part is whole as far as it goes. */
export type DeskReply<T extends Tasks<T>> =
  { n: number; answer: T[keyof T]['answer']; isLast: boolean } | { n: number; failed: string }
