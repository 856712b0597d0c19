-- A user of Neovim at work: this one types into another, whose configuration is the user's, and notes what that one shows.
local function read(path)
  local file = assert(io.open(path, 'rb'))
  local text = file:read('*a')
  file:close()
  return text
end

local function write(path, text)
  local file = assert(io.open(path, 'wb'))
  file:write(text)
  file:close()
end

local plan = vim.json.decode(read(vim.env.FETTLE_PLAN))
local child = vim.fn.jobstart({ 'nvim', '--embed', '--headless' }, { rpc = true, cwd = plan.folder })

local function lua(code, ...) return vim.rpcrequest(child, 'nvim_exec_lua', code, { ... }) end
local function keys(typed) vim.rpcrequest(child, 'nvim_input', typed) end

--- The first answer of the code that is something, or nil after the time (ms).
local function till(code, ...)
  local arguments, answer = { ... }, nil
  vim.wait(30000, function()
    answer = lua(code, unpack(arguments))
    return answer ~= vim.NIL and answer ~= false
  end, 20)
  if answer == vim.NIL or answer == false then return nil end
  return answer
end

local function edit(file)
  if lua('return vim.fn.expand("%:t")') == file then return end
  keys('<Esc>:edit ' .. file .. '<CR>')
  assert(till('return vim.fn.expand("%:t") == ...', file), file .. ' does not open')
end

--- Opens the file with the cursor on the first place of the text in the line.
local function go(place)
  edit(place.file)
  lua([[
    local line, text = ...
    vim.fn.cursor(line, vim.fn.stridx(vim.fn.getline(line), text) + 1)
  ]], place.line, place.at)
end

local function hover(place)
  go(place)
  keys(':lua vim.lsp.buf.hover()<CR>')
  local lines = till([[
    for _, window in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(window).relative ~= '' then
        local lines = vim.api.nvim_buf_get_lines(vim.api.nvim_win_get_buf(window), 0, -1, false)
        vim.api.nvim_win_close(window, true)
        return lines
      end
    end
  ]])
  return lines and table.concat(lines, '\n') or 'no hover'
end

local isTold = [[
  local file, line, code = ...
  for _, found in ipairs(vim.diagnostic.get(vim.fn.bufnr(file))) do
    if found.lnum + 1 == line and (found.code or found.user_data.lsp.code) == code then return true end
  end
  return false
]]
local function told(file, line, code) return till(isTold, file, line, code) ~= nil end
local function gone(file, line, code) return till('return not (function(...) ' .. isTold .. ' end)(...)', file, line, code) ~= nil end

local report = { diagnostics = {} }

local function session()
  for _, expected in ipairs(plan.files) do
    edit(expected.file)
    till('return #vim.diagnostic.get(0) >= ...', expected.count)
    report.diagnostics[expected.file] = lua([[
      return vim.tbl_map(function(found)
        return {
          line = found.lnum + 1, column = found.col, endLine = found.end_lnum + 1, endColumn = found.end_col,
          severity = found.severity, code = found.code or found.user_data.lsp.code, message = found.message,
        }
      end, vim.diagnostic.get(0))
    ]])
  end

  local pullUp = plan.pullUp
  local board = plan.folder .. '/' .. plan.board.file
  write(board, plan.board.changed)
  local isGone = gone(pullUp.file, pullUp.line, pullUp.code)
  write(board, plan.board.there)
  report.boardChanged = { gone = isGone, back = told(pullUp.file, pullUp.line, pullUp.code) }

  report.hover = hover(pullUp)
  report.hoverOnBranch = hover(plan.branch)

  go(pullUp)
  lua([[
    offered = {}
    vim.ui.select = function(items, options, choose)
      offered = vim.tbl_map(options.format_item, items)
      for index, title in ipairs(offered) do
        if title == wanted then return choose(items[index], index) end
      end
    end
    wanted = ...
  ]], pullUp.fix)
  -- As users have it: the cursor stands anywhere in the line.
  keys('0:lua vim.lsp.buf.code_action()<CR>')
  till([[return vim.fn.getline(...):match('2200') and true]], pullUp.line)
  report.offered = lua('return offered')
  keys(':write<CR>')
  report.goneAfterFix = gone(pullUp.file, pullUp.line, pullUp.code)

  go(plan.rename)
  keys(':lua vim.lsp.buf.rename("' .. plan.rename.to .. '")<CR>')
  till('return vim.fn.getline(...):match("' .. plan.rename.to .. '") and true', plan.rename.line)
  keys(':wall<CR>')
  till('return #vim.fn.getbufinfo({ bufmodified = 1 }) == 0')

  go(plan.definition)
  keys(':lua vim.lsp.buf.definition()<CR>')
  till('return vim.fn.expand("%:t") ~= ...', plan.definition.file)
  report.definition = { file = lua('return vim.fn.expand("%:t")'), line = lua('return vim.fn.line(".")') }

  edit(plan.completion.file)
  -- Ctrl-U takes away the sign of comment that the editor may carry over.
  keys('Go<C-U>' .. plan.completion.typed .. '<C-X><C-O>')
  till("return #vim.fn.complete_info({ 'items' }).items > 0")
  report.completion = lua([[
    return vim.tbl_map(function(item) return item.word end, vim.fn.complete_info({ 'items' }).items)
  ]])
end

local isGood, problem = pcall(session)
if not isGood then report.error = tostring(problem) end
local hasMessages, messages = pcall(lua, 'return vim.fn.execute("messages")')
report.messages = hasMessages and messages or ''
write(plan.report, vim.json.encode(report))
pcall(keys, '<Esc>:qall!<CR>')
vim.fn.jobwait({ child }, 5000)
