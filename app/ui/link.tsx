'use client'
import NextLink from 'next/link'
import { useSyncExternalStore, type ComponentProps, type ReactNode } from 'react'
import { buttonClass, type Look } from './button'
import { linksMayLoad } from './once-idle'

export interface LinkProps extends Omit<ComponentProps<typeof NextLink>, 'prefetch' | 'href'> {
  href: string
  children: ReactNode
}

/**
 * A link inside the app. It loads its page in full beforehand: a page that is only half loaded can't be opened any more
 * once the network is gone, and on plain HTTP no service worker would help. Not before what somebody came for is on the screen.
 */
export function Link(props: LinkProps) {
  const mayLoad = useSyncExternalStore(linksMayLoad.subscribe, linksMayLoad.now, () => false)
  return <NextLink {...props} prefetch={mayLoad} />
}

export interface LinkButtonProps extends LinkProps {
  look?: Look
  wide?: boolean
}

export function LinkButton({ look = 'plain', wide = false, ...props }: LinkButtonProps) {
  return <Link {...props} className={buttonClass(look, wide)} />
}
