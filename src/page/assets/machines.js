export function build() {}
export const stations = (all) => all;
