import { Loading } from './ui/panels'

export default function PageLoading() {
  return <Loading what="Opening" />
}
