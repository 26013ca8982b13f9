import { bigint, pgTable, text } from 'drizzle-orm/pg-core'

const number = () => bigint({ mode: 'number' })

/** One row per process that writes: how many transactions of it there have been. Shows what became of one whose answer was lost. */
export const writers = pgTable('writers', {
  owner: text().primaryKey(),
  head: number().notNull(),
  at: number().notNull(),
})
