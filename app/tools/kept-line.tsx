'use client'
import { useEffect, useState } from 'react'
import { keepPages } from '@/app/offline/use-offline-pages'

/** The tools, what they may be read with, and the way back: what a guest who never joined can open without network. */
const PAGES = ['/tools', '/help', '/']

/** Keeps the tools on this device where the browser allows it, and says whether it does. */
export function KeptLine() {
  const [kept, setKept] = useState<boolean | null>(null)
  useEffect(() => {
    let gone = false
    void keepPages(PAGES).then((all) => !gone && setKept(all))
    return () => {
      gone = true
    }
  }, [])
  return (
    <p className="small" role="status">
      {kept === true && 'Saved on this phone: the tools also open without a network.'}
      {kept === false &&
        'This browser saves no pages here (it does over HTTPS or on localhost). While this page stays open, the tools work without a network.'}
    </p>
  )
}
