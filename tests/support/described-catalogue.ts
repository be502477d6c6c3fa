import { catalogue } from '../../core/catalogue.ts';

/** The whole catalogue without its functions, one line an entry. */
export function describedCatalogue(): string {
  return catalogue
    .map(({ id, title, subject, formula, source, nature, validity, inputs, outputs }) =>
      [
        `${id} (${subject}, ${nature}): ${title}`,
        `  ${formula} | ${source}${validity === undefined ? '' : ` | ${validity}`}`,
        ...Object.entries(inputs).map(
          ([field, spec]) =>
            `  < ${spec.name} ${field} ${spec.kind} ${spec.dimension}${spec.isOptional ? '?' : ''}: ${spec.title}`,
        ),
        ...Object.entries(outputs).map(
          ([name, spec]) =>
            `  > ${name} ${spec.dimension}${spec.isOptional ? '?' : ''} ${spec.period ?? ''}: ${spec.title}`,
        ),
      ].join('\n'),
    )
    .join('\n');
}
