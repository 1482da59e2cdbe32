import type { Api as Routes, ProblemDetails } from '../../server/contract/index.ts'
import { ApiFault } from './fault.ts'

type ParamNames<Path extends string> = Path extends `${string}:${infer Name}/${infer Rest}`
  ? Name | ParamNames<`/${Rest}`>
  : Path extends `${string}:${infer Name}`
    ? Name
    : never

/** `{}` where nothing of the kind is needed, so that a call says only what its route asks for. */
type Params<Route extends string> = [ParamNames<Route>] extends [never]
  ? object
  : { params: Record<ParamNames<Route>, string> }
type Body<Route extends keyof Routes> = Routes[Route] extends { body: infer B } ? { body: B } : object
type Query<Route extends keyof Routes> = Routes[Route] extends { query: infer Q } ? { query?: Q } : object

export type Call<Route extends keyof Routes> = Params<Route> &
  Body<Route> &
  Query<Route> & { headers?: Record<string, string>; signal?: AbortSignal }
export type Reply<Route extends keyof Routes> = Routes[Route]['reply']

interface AnyCall {
  params?: Record<string, string>
  body?: unknown
  query?: Record<string, string | undefined>
  headers?: Record<string, string>
  signal?: AbortSignal
}

/** Every route of the server by its name in the contract: `call('GET /api/courses/:courseId', { params: { courseId } })`. */
export class Api {
  readonly #fetch: typeof fetch
  /** Called when the server says that nobody is signed in (any more). */
  onSignedOut: () => void = () => {}

  constructor(send: typeof fetch = (...args) => fetch(...args)) {
    this.#fetch = send
  }

  async call<Route extends keyof Routes>(
    route: Route,
    ...[call]: object extends Call<Route> ? [Call<Route>?] : [Call<Route>]
  ): Promise<Reply<Route>> {
    const { params = {}, body, query = {}, headers = {}, signal } = (call ?? {}) as AnyCall
    const [method = 'GET', template = ''] = route.split(' ')
    const request: RequestInit = {
      method,
      credentials: 'same-origin',
      headers: {
        accept: 'application/json',
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...headers,
      },
    }
    if (body !== undefined) request.body = JSON.stringify(body)
    if (signal !== undefined) request.signal = signal
    const response = await this.#send(pathOf(template, params) + queryOf(query), request)
    if (!response.ok) {
      const fault = await faultOf(response)
      if (response.status === 401 && route !== 'POST /api/session') this.onSignedOut()
      throw fault
    }
    if (response.status === 204) return null as Reply<Route>
    return (await jsonOf(response)) as Reply<Route>
  }

  async #send(path: string, request: RequestInit): Promise<Response> {
    try {
      return await this.#fetch(path, request)
    } catch (error) {
      throw new ApiFault(null, null, { cause: error })
    }
  }
}

export function pathOf(template: string, params: Readonly<Record<string, string>>): string {
  return template.replace(/:([A-Za-z]+)/g, (_, name: string) => encodeURIComponent(params[name] ?? ''))
}

function queryOf(query: Readonly<Record<string, string | undefined>>): string {
  const kept = Object.entries(query).filter((pair): pair is [string, string] => pair[1] !== undefined)
  return kept.length === 0 ? '' : `?${new URLSearchParams(kept).toString()}`
}

async function jsonOf(response: Response): Promise<unknown> {
  try {
    return await response.json()
  } catch (error) {
    throw new ApiFault(null, response.status, { cause: error })
  }
}

async function faultOf(response: Response): Promise<ApiFault> {
  const isProblem = response.headers.get('content-type')?.includes('problem+json') ?? false
  if (!isProblem) return new ApiFault(null, response.status)
  return new ApiFault((await jsonOf(response)) as ProblemDetails, response.status)
}
