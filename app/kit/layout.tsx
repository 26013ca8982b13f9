import type { ReactNode } from 'react'
import './kit.css'
import { KitFrame } from './kit-frame'

export default function KitLayout({ children }: { children: ReactNode }) {
  return <KitFrame>{children}</KitFrame>
}
