/** A record's body as a form wants it. Pure. */

/**
 * The fields that hold something. A cleared field is `null` in a record (said and taken back) and absent here,
 * so that a model has one way to ask whether a thing is known.
 */
export function known<B extends object>(body: B): B {
  return Object.fromEntries(Object.entries(body).filter(([, value]) => value !== null)) as B;
}
