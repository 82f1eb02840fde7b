vim.opt.swapfile = false
vim.opt.number = true
vim.opt.ruler = false
vim.opt.signcolumn = "yes"
vim.opt.shortmess:append("I")
vim.diagnostic.config({ virtual_text = { prefix = "<<" }, signs = false, update_in_insert = true, severity_sort = true })
