/** The page of one alert. Ids need no encoding: they are made of lowercase words and a time. */
export const alertAddress = (id: string): string => `/alerts/${id}`;

/** The page on which a tending begins and ends. */
export const tendingAddress = (tank: string): string => `/tanks/${tank}/tending`;
