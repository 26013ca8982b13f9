const OPTION = /(?:^|\s)-csearch_path=([a-z0-9_]+)$/

/** The address of the same database with all tables in a schema of their own. `schema`: letters, digits and low lines. */
export function inSchema(url: string, schema: string): string {
  const at = new URL(url)
  const before = at.searchParams.get('options')
  at.searchParams.set('options', `${before === null ? '' : `${before} `}-csearch_path=${schema}`)
  return at.href
}

/** Which schema such an address names; null for any other. */
export const schemaOf = (url: string): string | null =>
  OPTION.exec(new URL(url).searchParams.get('options') ?? '')?.[1] ?? null
