const counting = new Intl.Collator('en', { numeric: true })

/** As people count: P1, P2, P12. What has no name comes last. */
export const compareNames = (a: string | undefined, b: string | undefined): number =>
  Number(!a) - Number(!b) || counting.compare(a ?? '', b ?? '')
