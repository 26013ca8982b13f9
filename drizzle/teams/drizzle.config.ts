import { defineConfig } from 'drizzle-kit'

/** `npm run migrations` writes the SQL for whatever changed in the schema. */
export default defineConfig({
  dialect: 'sqlite',
  schema: './drizzle/teams/schema.ts',
  out: './drizzle/teams/migrations',
  casing: 'snake_case',
})
