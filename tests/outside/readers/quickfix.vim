" In: $FOUND, the text of 'rackspec inspect', read with &errorformat. Out: $TOLD, a JSON list with, for each line that Vim
" took for a finding: file, line, column, type and text as it read them, and where the cursor stands after a jump there
" (line, column in bytes, column in characters).
set nomore hidden encoding=utf-8 fileencodings=utf-8
if $FORMAT != ''
  let &errorformat = $FORMAT
endif
silent cgetfile $FOUND
let told = []
for entry in getqflist()
  if entry.valid
    call add(told, {'file': bufname(entry.bufnr), 'line': entry.lnum, 'column': entry.col, 'type': entry.type, 'text': entry.text, 'entry': index(getqflist(), entry) + 1})
  endif
endfor
for each in told
  execute 'silent cc ' .. each.entry
  let each.lands = [line('.'), col('.'), charcol('.')]
endfor
call writefile([json_encode(told)], $TOLD)
qall!
