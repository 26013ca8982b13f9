'use client'
import { useMemo } from 'react'
import {
  Autocomplete,
  Dialog,
  Header,
  Input,
  Menu,
  MenuItem,
  MenuSection,
  Modal,
  ModalOverlay,
  SearchField,
  useFilter,
} from 'react-aria-components'
import { AriaRoot } from './aria-root'
import { useCommandBook, type Command } from './command-context'

/** Type a few letters, Enter. */
export default function CommandSheet() {
  const { commands, isOpen, setOpen } = useCommandBook()
  const { contains } = useFilter({ sensitivity: 'base', ignorePunctuation: true })

  const groups = useMemo(() => {
    const byGroup = new Map<string, Command[]>()
    for (const c of commands) byGroup.set(c.group, [...(byGroup.get(c.group) ?? []), c])
    return [...byGroup].map(([name, items]) => ({ name, items }))
  }, [commands])

  const run = (id: string) => {
    const command = commands.find((c) => c.id === id)
    setOpen(false)
    command?.run()
  }
  // Every typed word must be found, in any order.
  const matches = (text: string, typed: string) =>
    typed
      .trim()
      .split(/\s+/)
      .every((word) => contains(text, word))

  return (
    <AriaRoot>
      <ModalOverlay className="overlay" isOpen={isOpen} onOpenChange={setOpen} isDismissable>
        <Modal className="sheet">
          <Dialog aria-label="Command list">
            <Autocomplete filter={matches}>
              <SearchField aria-label="What to do" autoFocus>
                <Input className="command-input" placeholder="A car, a place or an action" />
              </SearchField>
              <Menu
                aria-label="Commands"
                className="outline-none max-h-[55dvh] overflow-auto"
                onAction={(key) => run(String(key))}
                renderEmptyState={() => (
                  <p className="p-4 small">Nothing by that name. Try a car, a pack or a place.</p>
                )}
              >
                {groups.map((g) => (
                  <MenuSection key={g.name} id={g.name} className="option-group">
                    <Header>{g.name}</Header>
                    {g.items.map((c) => (
                      <MenuItem
                        key={c.id}
                        id={c.id}
                        className="option"
                        textValue={[c.label, c.detail, c.words, c.group].filter(Boolean).join(' ')}
                      >
                        <span>{c.label}</span>
                        {c.detail && <span className="small">{c.detail}</span>}
                      </MenuItem>
                    ))}
                  </MenuSection>
                ))}
              </Menu>
            </Autocomplete>
            <p className="command-keys">
              <span>
                <kbd>↑</kbd> <kbd>↓</kbd> choose
              </span>
              <span>
                <kbd>Enter</kbd> do it
              </span>
              <span>
                <kbd>Esc</kbd> close
              </span>
            </p>
          </Dialog>
        </Modal>
      </ModalOverlay>
    </AriaRoot>
  )
}
