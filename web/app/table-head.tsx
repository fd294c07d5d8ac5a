/** The head of a table: one heading a column. */
export const TableHead = ({ headings }: { headings: readonly string[] }) => (
  <thead>
    <tr>
      {headings.map((heading) => (
        <th scope="col" key={heading}>
          {heading}
        </th>
      ))}
    </tr>
  </thead>
);
