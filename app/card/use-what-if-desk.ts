'use client'
import { useEffect, useState } from 'react'
import { startThread } from '@/app/threads/start-thread'
import { WhatIfDesk } from './what-if-desk'

/** The simulator's thread for one screen's questions; it ends with the screen. */
export function useWhatIfDesk(): WhatIfDesk {
  const [desk] = useState(() => new WhatIfDesk(() => startThread('what-if')))
  useEffect(() => () => desk.close(), [desk])
  return desk
}
