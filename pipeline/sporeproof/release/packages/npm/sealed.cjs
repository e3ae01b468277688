// SPDX-License-Identifier: Apache-2.0
// What is read, frozen to its depths. In JavaScript a key that is not there is `undefined`, which reads as "no": a
// misspelt `verdict.caution` would say "no cautions", and `verdict.isDeadly` would say "not deadly". Here it throws.
"use strict";

// What promises, JSON, test runners and consoles ask of any object.
const ASKED_OF_ALL = /^(?:then|toJSON|asymmetricMatch|nodeType|tagName|hasAttribute|[$@_].*)$/;

const guard = {
  get(target, key) {
    if (typeof key === "string" && !(key in target) && !ASKED_OF_ALL.test(key)) throw new TypeError(unknown(target, key));
    return Reflect.get(target, key);
  },
  set: refuse,
  defineProperty: refuse,
  deleteProperty: refuse,
  setPrototypeOf: refuse,
};

function unknown(target, key) {
  const own = Object.getPrototypeOf(target) === Object.prototype ? [] : Object.getOwnPropertyNames(Object.getPrototypeOf(target));
  const keys = [...Object.keys(target), ...own.filter((each) => each !== "constructor")].join(", ");
  return `there is no ${JSON.stringify(key)} here, and that it is missing says neither yes nor no; what is here: ${keys}`;
}

function refuse() {
  throw new TypeError("a record cannot be changed; make a copy of what you need");
}

/** Return an object that cannot be changed, and that throws where a key is read that it does not have. */
function guarded(object) {
  return new Proxy(Object.freeze(object), guard);
}

/** Return what JSON says, guarded to its depths, with keys in camelCase. */
function sealed(value) {
  if (Array.isArray(value)) return Object.freeze(value.map(sealed));
  if (value === null || typeof value !== "object") return value;
  return guarded(Object.fromEntries(Object.entries(value).map(([key, each]) => [inCamelCase(key), sealed(each)])));
}

function inCamelCase(key) {
  return key.replace(/_([a-z])/g, (_, letter) => letter.toUpperCase());
}

/** Return a function that makes something of a record once, and gives the same again while the record is kept. */
function once(make) {
  const made = new WeakMap();
  return (record) => {
    if (!made.has(record)) made.set(record, make(record));
    return made.get(record);
  };
}

module.exports = { guarded, once, sealed };
