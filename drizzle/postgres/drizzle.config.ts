import { defineConfig } from 'drizzle-kit'

/** `npm run migrations` writes the SQL for whatever changed in the schema. */
export default defineConfig({
  dialect: 'postgresql',
  schema: './drizzle/postgres/schema.ts',
  out: './drizzle/postgres/migrations',
  casing: 'snake_case',
})
