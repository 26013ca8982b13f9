import { defineConfig } from 'drizzle-kit'

/** `npm run migrations` writes the SQL for whatever changed in the schema. */
export default defineConfig({
  dialect: 'postgresql',
  schema: './drizzle/teams/postgres/schema.ts',
  out: './drizzle/teams/postgres/migrations',
  casing: 'snake_case',
})
