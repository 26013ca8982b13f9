import type { ReactNode } from 'react'
import '@/app/record/record.css'
import './setup.css'
import { SetupFrame } from './setup-frame'

export default function SetupLayout({ children }: { children: ReactNode }) {
  return <SetupFrame>{children}</SetupFrame>
}
