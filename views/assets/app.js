// Every page works without this file. It moves the focus to a form's problems, so that the page is read from there.
const problems = document.querySelector('.problems');
if (problems) problems.focus();
