type Tell = (isInSight: boolean) => void

const told = new WeakMap<Element, Tell>()
/** One observer for the page: each of its own would be asked with every frame. */
let observer: IntersectionObserver | null = null

/** Tell when an element comes into sight, or nearly so, and when it goes. Returns the way to stop. */
export function watchSight(element: Element, tell: Tell): () => void {
  observer ??= new IntersectionObserver(
    (entries) => {
      for (const e of entries) told.get(e.target)?.(e.isIntersecting)
    },
    { rootMargin: '100px' },
  )
  told.set(element, tell)
  observer.observe(element)
  return () => {
    observer?.unobserve(element)
    told.delete(element)
  }
}
