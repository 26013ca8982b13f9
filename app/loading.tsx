import { Loading } from '@/app/ui/panels'

export default function PageLoading() {
  return <Loading what="Opening" />
}
