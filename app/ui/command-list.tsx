'use client'
import { lazy, Suspense, useEffect, useState } from 'react'
import { useCommandBook } from './command-context'
import { isTyping } from './is-typing'
import { LatePart } from './late-part'
import { loadAhead } from './load-ahead'

const commandSheet = loadAhead(() => import('./command-sheet'))
const CommandSheet = lazy(commandSheet)

/** Everything the keyboard can do, opened by `/` or `Ctrl K`. */
export function CommandList() {
  const { isOpen, setOpen } = useCommandBook()
  const [used, setUsed] = useState(false)
  if (isOpen && !used) setUsed(true)

  useEffect(() => {
    const onKey = (e: KeyboardEvent) => {
      const ctrlK = (e.ctrlKey || e.metaKey) && !e.altKey && e.key.toLowerCase() === 'k'
      if (!ctrlK && (e.key !== '/' || e.ctrlKey || e.metaKey || e.altKey || isTyping(e.target))) return
      e.preventDefault()
      setOpen(true)
    }
    window.addEventListener('keydown', onKey)
    return () => window.removeEventListener('keydown', onKey)
  }, [setOpen])

  return used ? (
    <Suspense fallback={isOpen && <LatePart part={commandSheet} onClose={() => setOpen(false)} />}>
      <CommandSheet />
    </Suspense>
  ) : null
}
