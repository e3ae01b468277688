// SPDX-License-Identifier: Apache-2.0
export * from "./index.cjs";
