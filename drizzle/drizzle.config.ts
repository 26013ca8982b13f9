import { defineConfig } from 'drizzle-kit'

/** `npm run migrations` writes the SQL for whatever changed in the schema. */
export default defineConfig({
  dialect: 'sqlite',
  schema: './drizzle/schema.ts',
  out: './drizzle/migrations',
  casing: 'snake_case',
})
