import fc from 'fast-check'
import type { InjectOptions, RouteOptions } from 'fastify'
import { anyText } from './texts.ts'

/** One request as a careless or hostile program sends it. */
export interface StrangeRequest {
  readonly method: NonNullable<InjectOptions['method']>
  readonly url: string
  readonly headers: Readonly<Record<string, string>>
  readonly payload?: string
}

interface JsonSchema {
  readonly type?: string
  readonly properties?: Readonly<Record<string, JsonSchema>>
  readonly items?: JsonSchema
  readonly anyOf?: readonly JsonSchema[]
  readonly enum?: readonly unknown[]
  readonly const?: unknown
}

const words = ['..', '/', '%2e%2e', '?', 'select', "' or 1=1 --", '<script>', '=1+1', '2026-01-01T00:00:00Z', 'true']
const text = anyText(['Look here.', '0000-01-01T00:00:00Z', '3E 05 76'], words).map((each) => each.slice(0, 3000))
const path = fc.oneof(
  fc.constantFrom(
    '%00',
    '%E2%80%AE',
    '..',
    '%2e%2e%2f',
    '%ZZ',
    '%',
    'x'.repeat(99),
    'x'.repeat(5000),
    '-1',
    '%F0%28',
    '*',
    ':',
  ),
  text.map((each) => encodeURIComponent(each.replace(/[\u{D800}-\u{DFFF}]/gu, ''))),
)

/** Values that a schema lets pass, or nearly. */
function valueOf(schema: JsonSchema | undefined): fc.Arbitrary<unknown> {
  const wrong = fc.oneof(
    text,
    fc.jsonValue({ maxDepth: 3 }),
    fc.constantFrom(null, 1e308, -1, [], {}, 'x'.repeat(70_000)),
  )
  if (schema === undefined) return wrong
  return fc.oneof({ arbitrary: rightOf(schema), weight: 6 }, { arbitrary: wrong, weight: 1 })
}

function rightOf(schema: JsonSchema): fc.Arbitrary<unknown> {
  if (schema.const !== undefined) return fc.constant(schema.const)
  if (schema.enum !== undefined) return fc.constantFrom(...schema.enum)
  if (schema.anyOf !== undefined) return fc.oneof(...schema.anyOf.map(valueOf))
  switch (schema.type) {
    case 'object': {
      const fields = Object.entries(schema.properties ?? {}).map(([name, each]) => [name, valueOf(each)] as const)
      return fc.record(Object.fromEntries(fields), { requiredKeys: fields.slice(0, 1).map(([name]) => name) })
    }
    case 'array':
      return fc.array(valueOf(schema.items), { maxLength: 4 })
    case 'integer':
    case 'number':
      return fc.oneof(fc.integer(), fc.double())
    case 'boolean':
      return fc.boolean()
    case 'null':
      return fc.constant(null)
    default:
      return text
  }
}

const headers = fc.dictionary(
  fc.constantFrom(
    ...['prefer', 'idempotency-key', 'accept', 'origin', 'sec-fetch-site', 'cookie', 'x-forwarded-for', 'range'],
    ...['if-none-match', 'content-encoding', 'transfer-encoding', 'expect', 'upgrade', 'host', 'accept-language'],
  ),
  // Node takes no control characters in a header that it sends.
  fc.string({ unit: 'grapheme-ascii', maxLength: 60 }),
  { maxKeys: 2 },
)
const types = fc.constantFrom(
  'application/json',
  'application/json; charset=latin1',
  'text/plain',
  'multipart/form-data',
  '',
  'x',
)

/** Requests to one route, about places that exist or not. */
export function anyRequest(
  { method, url, schema }: RouteOptions,
  ids: Readonly<Record<string, string>>,
): fc.Arbitrary<StrangeRequest> {
  const names = [...url.matchAll(/:(\w+)/g)].map(([, name = '']) => name)
  const places = fc.record(
    Object.fromEntries(
      names.map((name) => [
        name,
        fc.oneof({ arbitrary: fc.constant(ids[name] ?? 'x'), weight: 5 }, { arbitrary: path, weight: 1 }),
      ]),
    ),
  )
  const query = fc.oneof(
    { arbitrary: fc.constant(''), weight: 3 },
    {
      arbitrary: fc
        .tuple(fc.constantFrom('after', 'limit', 'studentId', '__proto__', 'x[]'), path)
        .map(([key, value]) => `?${key}=${value}`),
      weight: 1,
    },
  )
  const body = fc.oneof(
    { arbitrary: valueOf(schema?.body as JsonSchema | undefined).map((each) => JSON.stringify(each)), weight: 8 },
    {
      arbitrary: fc.constantFrom(
        '{',
        '',
        '[]',
        '"',
        '{"__proto__":{"a":1}}',
        `${'['.repeat(50_000)}${']'.repeat(50_000)}`,
      ),
      weight: 1,
    },
    { arbitrary: text, weight: 1 },
  )
  const one = [method].flat()[0] as StrangeRequest['method']
  return fc
    .tuple(places, query, headers, types, body, fc.boolean())
    .map(([place, asked, given, type, payload, isPlain]) => ({
      method: one,
      url: url.replace(/:(\w+)/g, (_, name: string) => place[name] ?? 'x') + asked,
      headers: isPlain || one === 'GET' ? { 'content-type': 'application/json' } : { ...given, 'content-type': type },
      ...(one === 'GET' || payload === undefined ? {} : { payload }),
    }))
}
