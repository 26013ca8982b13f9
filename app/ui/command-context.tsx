'use client'
import { createContext, useContext, useEffect, useMemo, useState, type ReactNode } from 'react'

export interface Command {
  id: string
  label: string
  /** Heading it stands under in the list. */
  group: string
  detail?: string
  /** Further words to find it by. */
  words?: string
  run: () => void
}

interface CommandBook {
  commands: readonly Command[]
  register: (commands: readonly Command[]) => () => void
  isOpen: boolean
  setOpen: (open: boolean) => void
}

const CommandContext = createContext<CommandBook | null>(null)

/** Collects what every mounted screen offers to the keyboard. */
export function CommandRoot({ children }: { children: ReactNode }) {
  const [shelves, setShelves] = useState<readonly (readonly Command[])[]>([])
  const [isOpen, setOpen] = useState(false)
  const [register] = useState(() => (commands: readonly Command[]) => {
    setShelves((all) => [...all, commands])
    return () => setShelves((all) => all.filter((c) => c !== commands))
  })
  const book = useMemo(
    () => ({ commands: shelves.flat(), register, isOpen, setOpen }),
    [shelves, register, isOpen],
  )
  return <CommandContext.Provider value={book}>{children}</CommandContext.Provider>
}

export function useCommandBook(): CommandBook {
  const book = useContext(CommandContext)
  if (!book) throw new Error('useCommandBook needs CommandRoot above it')
  return book
}

/** Offer commands while the calling component is mounted. Memoize the list, or it registers anew on every render. */
export function useCommands(commands: readonly Command[]): void {
  const { register } = useCommandBook()
  useEffect(() => register(commands), [register, commands])
}
