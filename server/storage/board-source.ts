import { openClient } from '@/drizzle/client'
import { openPostgres } from '@/drizzle/postgres/client'
import type { BoardClient } from './board-client'

/** Where a board's database is: a file of SQLite, or the address of PostgreSQL. Plain values, so that a thread can be told. */
export type BoardSource = { file: string } | { url: string }

/** Another connection to it, for reading. @throws DatabaseError */
export const openReader = (source: BoardSource): BoardClient =>
  'file' in source
    ? openClient(source.file, { readonly: true })
    : openPostgres(source.url, { readonly: true })
