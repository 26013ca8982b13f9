import type { Metadata } from 'next'
import { OrderScreen } from './order-screen'

export const metadata: Metadata = { title: 'Running order' }

export default function OrderPage() {
  return <OrderScreen />
}
