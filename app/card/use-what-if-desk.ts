'use client'
import { useEffect, useState } from 'react'
import { WhatIfDesk, type WhatIfThread } from './what-if-desk'

/** The simulator's thread for one screen's questions; it ends with the screen. */
export function useWhatIfDesk(): WhatIfDesk {
  const [desk] = useState(
    () =>
      new WhatIfDesk(
        () =>
          new Worker(new URL('./what-if-worker.ts', import.meta.url), {
            type: 'module',
          }) as unknown as WhatIfThread,
      ),
  )
  useEffect(() => () => desk.close(), [desk])
  return desk
}
