/** Something that is chosen once per device. */
export interface DeviceSetting<T> {
  read: () => T
  choose: (value: T) => void
  watch: (changed: () => void) => () => void
}

/**
 * Kept in the browser's local storage; where that is forbidden or full, a choice lasts as long as the page. `parse`: what was kept, or null for nothing.
 * What another tab chooses is taken over.
 */
export function deviceSetting<T extends string | null>(
  key: string,
  parse: (kept: string | null) => T,
): DeviceSetting<T> {
  const listeners = new Set<() => void>()
  let chosen: { value: T } | null = null
  const take = (value: T) => {
    chosen = { value }
    for (const changed of [...listeners]) changed()
  }
  const onStorage = (e: StorageEvent) => {
    if (e.key === key) take(parse(e.newValue))
  }
  return {
    read() {
      if (chosen === null)
        try {
          chosen = { value: parse(localStorage.getItem(key)) }
        } catch {
          // Storage is forbidden.
          chosen = { value: parse(null) }
        }
      return chosen.value
    },
    choose(value) {
      try {
        if (value === null) localStorage.removeItem(key)
        else localStorage.setItem(key, value)
      } catch {
        // Then it lasts as long as the page.
      }
      take(value)
    },
    watch(changed) {
      if (listeners.size === 0) window.addEventListener('storage', onStorage)
      listeners.add(changed)
      return () => {
        listeners.delete(changed)
        if (listeners.size === 0) window.removeEventListener('storage', onStorage)
      }
    },
  }
}
