import { useCallback, useState } from 'react'

/** Which fields hold text that is no number that fits. */
export function useUnfit() {
  const [unfit, setUnfit] = useState<ReadonlySet<string>>(new Set())
  const tell = useCallback(
    (id: string, fits: boolean) =>
      setUnfit((all) => {
        if (all.has(id) !== fits) return all
        const next = new Set(all)
        if (fits) next.delete(id)
        else next.add(id)
        return next
      }),
    [],
  )
  const clear = useCallback(() => setUnfit(new Set()), [])
  return { any: unfit.size > 0, tell, clear }
}
