import { fileURLToPath } from 'node:url'

/** Folders of the migrations of the list of teams, for either engine. */
export const TEAM_MIGRATIONS = fileURLToPath(new URL('./migrations', import.meta.url))
export const POSTGRES_TEAM_MIGRATIONS = fileURLToPath(new URL('./postgres/migrations', import.meta.url))
